"""What is known of practice, as values: attempts and their corrections, climbs and plan runs, totals.

What always holds: a value that can't be is refused when it is made; nothing here reads a file or a clock.

*Decided:* a figure is a pattern's text and name, the prop, the way of counting and the juggler.
*Because:* bests are compared with like ones only; throws of one text, tossed or bounced, have different names.
*Given up:* one best for a pattern that is practised under two names.
"""
