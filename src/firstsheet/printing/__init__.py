"""Printing a negative onto paper: the lamp, the negative, the seconds, and the hands that count them."""
