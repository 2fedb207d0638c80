"""The logbook: attempts, climbs and plan runs in one SQLite file. No other room has SQL; `store.Logbook` is the door.

What always holds: a change is on the disk as a whole before the call returns, or nothing of it happened. Totals and
bests are worked out inside the change that touches an attempt, so they always agree with the attempts.

Decided: An attempt is written when it begins, at the press that ends it, and once more when that end is settled.
Because: A trainer that is killed leaves the end that was told, or a row under way, which the next start gives up.
Given up: Two writes more for each try.

Decided: Who changes an attempt, a climb or a plan's run names it by its identity; a row number stays in this room.
Because: A logbook can be replaced while it is open, and a number then means somebody else's row.
Given up: One look into an index with each change.

Decided: Who keeps a sitting's tries opens the file that is at the path now, before it writes (`take_up`).
Because: It adds again what that one lacks. A folder that is gone is refused: it may be on a disk that was pulled out.
Given up: Mending a file that was moved over the open one and opened by a third program before the next try.

Decided: A restore copies what it replaces while it holds the lock for writing.
Because: A try that is written between the copy and the replacement would be in neither.
Given up: Writing for others meanwhile; a trainer waits 2 s, then tries again with its next try.

Decided: Figures and notes stand once each, apart from attempts; `days` has the totals of a figure, day and tempo.
Because: Python folds the letters of every script, so it matches texts, and there are few of them this way. A total is
  read from `days`, not added up from all attempts.
Given up: Simpler tables; the totals of a day are worked out again with each change to one of its attempts.

Decided: Each order of the list has an index that also holds figure and note; a page is one SELECT over it.
Because: Of a million attempts the list follows each letter typed in the filter in 10 to 50 ms, seldom 70.
Given up: 220 MB for a million attempts instead of 148, and a little more time to write one.

Decided: At most 3,000 attempts that fit are found by figure and note, and sorted; more, in the index of the order.
Because: The index is quick where many fit; for a few it would be looked through to its end.
Given up: A sure limit. Where more fit, and all of them stand at the end of an order, a page takes some 0.1 s.

Decided: Attempts are in the order of their day, then of their number.
Because: A clock that is set back, by hand or over the date line, must not put a later try before an earlier one.
Given up: The date on the clock. Up to a week back, such a try counts to the day of the try before it.

Decided: An attempt has one identity in every logbook: milliseconds and chance; in version 1, moment and number.
Because: Importing a file twice adds nothing, in whichever logbook; a dry run is the import itself, rolled back.
Given up: Small numbers as identities.

Decided: The connection is closed on leaving; who only reads leaves no `-wal` and `-shm`, and touches none.
Because: A user copies one file and has all of it; what a crash left is for the next one who writes.
Given up: The quicker start of a connection that stays open elsewhere.

Decided: An import holds one record at a time, of at most 8,000,000 characters.
Because: A file of any size is taken in or refused in some 50 MB of memory; a million attempts can move house.
Given up: The JSON reader of the library for the whole file; `formats.Walk` goes from record to record.

Decided: Removed attempts stay in the file, and an undo is one more correction.
Because: Both can be restored and exported, and the logbook tells the whole story.
Given up: The room they take.

Decided: One backup a day, before the day's first change, checked before it replaces anything.
Because: A damaged logbook must push no sound backup out; above 20 MB it is made beside the practice.
Given up: Changes since the morning, if the file is lost.

Decided: A change to a logbook whose file was moved or removed is refused, inside the transaction.
Because: SQLite would go on writing into a file that nobody finds again.
Given up: One look at the file with each change.
"""
