"""Substances, recipes, what a shelf gives, how alkaline a mix is: pure computing."""
