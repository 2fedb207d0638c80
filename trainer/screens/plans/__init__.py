"""The screens of plans: the list with a page for each plan, and the screen that makes and changes one.

What always holds: the text being changed can always be read as a plan. A change that would break it is refused and
told, and nothing is written before the plan is saved.
"""
