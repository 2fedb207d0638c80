"""The screens that look back: every try in the logbook, and the progress of each figure.

What always holds: what is shown is what the logbook has now; a change is in the file before the list shows it.

Decided: The list is seen first, then how many tries fit.
Because: Of a large logbook the count takes longer than a page of the list.
Given up: A number that changes in the same moment as the list.

Decided: Plots are drawn by textual-plot, which is imported with the progress screen only.
Because: It is kept up, draws in braille with round ticks, and needs two small wheels and the numpy we have.
Given up: 0.07 s when progress is opened first.
"""
