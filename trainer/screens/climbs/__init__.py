"""The screens of a climb: the form that sets it up, and the practice screen with its rungs as a picture.

What always holds: the practice of a climb is the practice screen; only what the climb itself adds is drawn here.
"""
