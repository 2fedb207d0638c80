"""The logbook: attempts, climbs and plan runs in one SQLite file. No other room has SQL; `store.Logbook` is the door.

What always holds: a change is on the disk as a whole before the call returns, or nothing of it happened. Totals and
bests are worked out inside the change that touches an attempt, so they always agree with the attempts.

Decided: An attempt is written when it begins, and again when it ends.
Because: A trainer that is killed leaves a row under way; the next start gives it up, if its process is gone.
Given up: One write more for each try.

Decided: Figures and notes stand once each, apart from attempts; `days` has the totals of a figure, day and tempo.
Because: Texts are matched in Python, where letters of every script fold, and few are matched; nothing is added up.
Given up: Simpler tables; the totals of a day are worked out again with each change to one of its attempts.

Decided: Each order of the list has an index that also holds figure and note; a page is one SELECT over it.
Because: Of a million attempts a key of the filter takes 10 to 50 ms, seldom 70; nothing is read ahead of it.
Given up: 220 MB for a million attempts instead of 148, and a little more time to write one.

Decided: At most 3,000 attempts that fit are found by figure and note, and sorted; more, in the index of the order.
Because: The index is quick where many fit; for a few it would be looked through to its end.
Given up: A bound: where more fit and all stand at the end of an order, a page takes some 0.1 s.

Decided: Attempts are in the order of their day, then of their number.
Because: A clock set back by up to a week, by hand or by a flight east, must not put a later try before an earlier.
Given up: The own date of such a try, which counts to the day before it. An imported attempt stands at its day.

Decided: An attempt has one identity in every logbook: milliseconds and chance; in version 1, moment and number.
Because: Importing a file twice adds nothing, in whichever logbook; a dry run is the import itself, rolled back.
Given up: Small numbers as identities.

Decided: The connection is closed on leaving; who only reads leaves no `-wal` and `-shm`, and touches none.
Because: A user copies one file and has all of it; what a crash left is for the next one who writes.
Given up: The quicker start of a connection that stays open elsewhere.

Decided: Removed attempts stay in the file, and an undo is one more correction.
Because: Both can be restored and exported, and the logbook tells the whole story.
Given up: The room they take.

Decided: One backup a day, before the day's first change, checked before it replaces anything.
Because: A damaged logbook must push no sound backup out; above 20 MB it is made beside the practice.
Given up: Changes since the morning, if the file is lost.

Decided: A logbook whose file was moved or removed while it is open is refused, inside the transaction.
Because: SQLite would go on writing into a file that nobody finds again.
Given up: One look at the file with each change.
"""
