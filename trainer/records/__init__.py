"""What is known of practice, as values: attempts and their corrections, climbs and plan runs, totals.

What always holds: a value that can't be is refused when it is made; nothing here reads a file or a clock.

Decided: A figure is a pattern's text and name, the prop, the way of counting and the juggler.
Because: Bests are compared with like ones only; throws of one text, tossed or bounced, have different names.
Given up: One best for a pattern that is practised under two names.
"""
