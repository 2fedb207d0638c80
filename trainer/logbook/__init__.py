"""The logbook: attempts, climbs and plan runs in one SQLite file. No other room has SQL; `store.Logbook` is the door.

What always holds: a change is on the disk as a whole before the call returns, or nothing of it happened. Totals and
bests are worked out inside the change that touches an attempt, so they always agree with the attempts.

*Decided:* an attempt is written when it begins, and again when it ends.
*Because:* a trainer that is killed leaves a row under way; the next start gives it up, if its process is gone.
*Given up:* one write more for each try.

*Decided:* figures and notes stand once each, apart from attempts; `days` has the totals of a figure, day and tempo.
*Because:* texts are matched in Python, where letters of every script fold, and few are matched; nothing is added up.
*Given up:* simpler tables; the totals of a day are worked out again with each change to one of its attempts.

*Decided:* each order of the list has an index that also holds figure and note; a page is one SELECT over it.
*Because:* of a million attempts a key of the filter takes 10 to 50 ms, seldom 70; nothing is read ahead of it.
*Given up:* 220 MB for a million attempts instead of 148, and a little more time to write one.

*Decided:* at most 3,000 attempts that fit are found by figure and note, and sorted; more, in the index of the order.
*Because:* the index is quick where many fit; for a few it would be looked through to its end.
*Given up:* a bound: where more fit and all stand at the end of an order, a page takes some 0.1 s.

*Decided:* attempts are in the order of their day, then of their number.
*Because:* a clock set back by up to a week, by hand or by a flight east, must not put a later try before an earlier.
*Given up:* the own date of such a try, which counts to the day before it. An imported attempt stands at its day.

*Decided:* an attempt has one identity in every logbook: milliseconds and chance; in version 1, moment and number.
*Because:* importing a file twice adds nothing, in whichever logbook; a dry run is the import itself, rolled back.
*Given up:* small numbers as identities.

*Decided:* the connection is closed on leaving; who only reads leaves no `-wal` and `-shm`, and touches none.
*Because:* a user copies one file and has all of it; what a crash left is for the next one who writes.
*Given up:* the quicker start of a connection that stays open elsewhere.

*Decided:* removed attempts stay in the file, and an undo is one more correction.
*Because:* both can be restored and exported, and the logbook tells the whole story.
*Given up:* the room they take.

*Decided:* one backup a day, before the day's first change, checked before it replaces anything.
*Because:* a damaged logbook must push no sound backup out; above 20 MB it is made beside the practice.
*Given up:* changes since the morning, if the file is lost.

*Decided:* a logbook whose file was moved or removed while it is open is refused, inside the transaction.
*Because:* SQLite would go on writing into a file that nobody finds again.
*Given up:* one look at the file with each change.
"""
