"""The colleague in a camera the size of a room: see the README."""
