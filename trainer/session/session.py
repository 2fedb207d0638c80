"""A practice session: key presses and the time come in, sound goes out, attempts go to the logbook.

It knows no screen. Whoever shows it calls `press` with each stamped press, `tick` a few times a second, and draws
what `view` says.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from fractions import Fraction

from trainer.audio.outputs.output import Output
from trainer.audio.performance import Performance
from trainer.audio.player import Player, prepare
from trainer.audio.synth import Bank
from trainer.audio.transport import Transport
from trainer.errors import TrainerError
from trainer.library.catalogue import Choice
from trainer.practice.count import Counter, aim_to_mark, goal_roles
from trainer.practice.guide import Task
from trainer.practice.pedal import Edge, Meant, Pedal
from trainer.practice.run import Run, RunState, Signal
from trainer.practice.taptempo import TapTempo
from trainer.records.attempt import Attempt, CountedBy, Ended
from trainer.session.guided import Guided, Lead
from trainer.session.lasttry import LastTry
from trainer.session.rules import Rules
from trainer.session.tries import Tries
from trainer.session.view import View
from trainer.siteswap import states
from trainer.timing.carrying import Carriage
from trainer.timing.counting import Goals
from trainer.timing.score import Score
from trainer.timing.tempo import FASTEST_BPM, SLOWEST_BPM, format_number, require_tempo

STANDING = Carriage()


class Session:
    """Practice of one pattern. Times are seconds of the output's clock, the one that stamps presses.

    now: gives the time of day with its offset, for the logbook. lead: who says at rest what comes next, None for
    nobody; its first task is taken at once.
    """

    def __init__(
        self,
        score: Score,
        tempo_bpm: Fraction,
        rules: Rules,
        bank: Bank,
        transport: Transport,
        output: Output,
        tries: Tries,
        now: Callable[[], datetime],
        name: str | None = None,
        carriage: Carriage = STANDING,
        lead: Lead | None = None,
    ) -> None:
        self.tempo_bpm, self.bank, self.name = require_tempo(tempo_bpm), bank, name
        self.carriage = carriage
        self.score = carriage.apply(score, tempo_bpm)
        self.rules = self._next_rules = rules
        self.goals = Goals.of(score)
        self._player, self._tries, self._now = Player(transport, output), tries, now
        self._run = Run(rules.counted_by, rules.rest_s, 0.0)
        self._pedal, self._end_pedal = Pedal(), Pedal()
        self._hiccups = 0
        self._notes: tuple[str, ...] = ()
        self.last_try = LastTry(tries, now)
        self._next_entry = score.entry
        self._taps = TapTempo()
        self._best: int | None = None
        self._best_among: tuple[Attempt, ...] | None = None
        self._guided = Guided(lead, tries)
        self.choice: Choice | None = None
        self._task: Task | None = None
        self._take_task()
        if lead is not None:
            self._player.stand_by(self.score, self.tempo_bpm, bank)

    @property
    def best(self) -> int | None:
        """The most catches so far of this pattern, as it is counted now; looked up again when the journal changes."""
        if self._best_among is not self._tries.attempts:
            self._best_among = self._tries.attempts
            self._best = self._tries.best(self.score.pattern.text, self.name, self.rules)
        return self._best

    def prepare(self) -> None:
        """Make the sounds of a try ahead of time, so that its start has less to do."""
        prepare(self.score, self.tempo_bpm, self.bank, self.rules.count_in(self.score))

    # -- what comes in --------------------------------------------------------------------------------------

    @property
    def under_way(self) -> bool:
        """Whether a try is: from its count-in until it is written down."""
        return self._run.state in (RunState.COUNT_IN, RunState.RUNNING, RunState.ENDED)

    def press(self, at_s: float, edge: Edge = Edge.DOWN) -> None:
        """The pedal's key, stamped as its bytes arrived."""
        self._pedal, heard = self._pedal.press(at_s, edge)
        self._heard(heard, Signal.TAP, at_s)

    def press_end(self, at_s: float, edge: Edge = Edge.DOWN) -> None:
        """The key that only ends a run."""
        self._end_pedal, heard = self._end_pedal.press(at_s, edge)
        self._heard(heard, Signal.END, at_s)

    def tick(self, now_s: float) -> None:
        """Let the time pass: the first beat, the end of a rest, the quiet after the last tap."""
        first_beat_s = self._player.first_throw_s() if self._run.state is RunState.COUNT_IN else None
        if first_beat_s is not None and first_beat_s <= now_s:
            self._follow(self._run.signal(Signal.FIRST_BEAT, first_beat_s))
        self._mark()
        while (after := self._run.step(now_s)) is not None:
            self._follow(after)
        self._lead_by(self._guided.catch_up, now_s)

    def give_up(self, now_s: float) -> None:
        """End what is under way; a run in the logbook as given up, a count-in without a trace."""
        self.tick(now_s)
        self._follow(self._run.signal(Signal.GIVE_UP, now_s))

    def settle(self, now_s: float) -> None:
        """Write a run that has ended down at once: no second press is waited for any more."""
        if self._run.state is RunState.ENDED:
            self._follow(self._run.signal(Signal.SETTLED, now_s))

    def go_on(self, now_s: float) -> None:
        """On to the guide's next block, at rest; what is under way goes on to its end first."""
        self._lead_by(self._guided.skip, now_s)

    def leave(self, now_s: float) -> None:
        """Give up, write everything down, be silent: for leaving the screen, however that comes about."""
        self.give_up(now_s)
        self.settle(now_s)
        self._guided.keep(now_s)
        self._player.leave()

    # -- settings that change while it runs -----------------------------------------------------------------

    def set_tempo(self, tempo_bpm: Fraction) -> None:
        """Another tempo, at once where nothing runs, from the next beat on where something does.

        Raises TrainerError where the guide says that it stays.
        """
        self._guided.require_free()
        self._change_tempo(tempo_bpm)

    def _change_tempo(self, tempo_bpm: Fraction) -> None:
        self.tempo_bpm = require_tempo(tempo_bpm)
        if self._run.state is RunState.RUNNING:
            self._notes = (*self._notes, f"tempo changed to {format_number(tempo_bpm)}")
        self._set_quiet()
        self.score = score = self.carriage.apply(self.score, tempo_bpm)
        beats = self.rules.glide_rounds * score.pattern.round

        def change(performance: Performance, at_frame: int) -> Performance:
            return performance.with_score(score).with_glide(tempo_bpm, beats, at_frame)

        self._player.change(change)

    def tap_tempo(self, at_s: float) -> Fraction | None:
        """One tap of a tempo to be taken over; the tempo once there are taps enough, None before."""
        self._taps = self._taps.tap(at_s)
        tempo_bpm = self._taps.tempo_bpm()
        if tempo_bpm is not None:
            self.set_tempo(min(max(tempo_bpm, SLOWEST_BPM), FASTEST_BPM))
        return tempo_bpm

    def set_dwell(self, dwell: Fraction) -> None:
        """Another dwell ratio: the throws stay where they are, the catches move. Raises TrainerError as set_tempo."""
        self._guided.require_free()
        self.score = score = self.carriage.apply(replace(self.score, dwell=dwell), self.tempo_bpm)
        self._player.change(lambda performance, _: performance.with_score(score))

    def toggle_entry(self) -> None:
        """Begin from the plain cascade or fountain through the entry throws, or with the pattern as written.

        It holds from the next try on. Raises TrainerError where the pattern needs no entry, or has none.
        """
        if self._next_entry is not None:
            self._next_entry = None
        else:
            link = states.find_entry(self.score.pattern)
            if link is None or not link.steps:
                raise TrainerError("This pattern can follow the plain cascade or fountain at once: it needs no entry.")
            self._next_entry = link
        if self._run.state in (RunState.ARMED, RunState.REST):
            self._take_entry()

    def trouble(self) -> str:
        """What can't be carried out as the library says, such as a bounce too quick; empty if all can."""
        return self.carriage.trouble(self.score, self.tempo_bpm)

    def _take_entry(self) -> None:
        self.score = replace(self.score, entry=self._next_entry)

    def set_bank(self, bank: Bank) -> None:
        """Another kit."""
        self.bank = bank
        self.prepare()
        self._player.change(lambda performance, _: performance.with_bank(bank))

    def set_rules(self, rules: Rules) -> None:
        """Another way of counting; an attempt under way keeps the one it began with."""
        self._next_rules = rules
        if self._run.state in (RunState.ARMED, RunState.REST):
            self._take_rules()
            self._sound_rest()

    # -- what goes out --------------------------------------------------------------------------------------

    def view(self, now_s: float) -> View:
        """What to show at a moment."""
        run = self._run
        beat = self._player.beat_at(now_s) if run.state in (RunState.COUNT_IN, RunState.RUNNING) else None
        last = self.last_try.attempt
        catches = last.catches if last else None
        if run.state is RunState.ARMED and last is not None and last.pattern != self.score.pattern.text:
            catches = 0  # of another pattern
        elif run.state is RunState.COUNT_IN:
            catches = 0
        elif run.state is RunState.RUNNING:
            catches = self._counter().running(beat if beat is not None else Fraction(0), len(run.taps_s))
            catches = min(catches, self._goal_catches() or catches)
        elif run.state is RunState.ENDED:
            catches = self._result()
        change = run.next_change()
        rest_left_s = change[0] - now_s if change and run.state is RunState.REST else None
        return View(
            run.state, self.score, self.goals, self.tempo_bpm, self._next_rules, beat, catches, run.ended, rest_left_s,
            self.last_try.typed, self.best, last, self._guided.guide, now_s,
            self._player.tempo if beat is not None else None,
        )  # fmt: skip

    # -- inside ---------------------------------------------------------------------------------------------

    def _heard(self, heard: Meant, signal: Signal, at_s: float) -> None:
        self.tick(at_s)
        if heard is Meant.TAP and signal is Signal.TAP and not self._may_begin(at_s):
            self._run = self._run.untouched()
        elif heard is Meant.TAP:
            self._follow(self._run.signal(signal, at_s))
        elif heard is Meant.TAKE_BACK:
            self._follow(self._run.take_back())

    def _follow(self, run: Run) -> None:
        """Take over the run, and do what its new state asks for."""
        before, self._run = self._run, run
        if run.state is before.state:
            if len(run.taps_s) > len(before.taps_s):
                self._sound_goals(len(before.taps_s), len(run.taps_s))
            return
        if run.state is RunState.COUNT_IN:
            self._start()
        elif run.state is RunState.ARMED and before.state is RunState.COUNT_IN:
            self._player.stop()
            self._take_rules()
        elif run.state is RunState.RUNNING and before.state is RunState.ENDED:
            self._player.resume()
        elif run.state is RunState.RUNNING:
            self._begin_attempt()
        elif run.state is RunState.ENDED:
            self._player.stop()
        else:
            if before.state is RunState.ENDED:
                self._finish_attempt(run.since_s)
                self._take_rules()
            self._sound_rest()

    # -- following a guide ----------------------------------------------------------------------------------

    def _goal_catches(self) -> int | None:
        """How many catches due end the run by themselves; None where none do."""
        aim = self._guided.aim
        return aim.catches if aim is not None and self.rules.counted_by is CountedBy.BEAT else None

    def _may_begin(self, at_s: float) -> bool:
        """Whether a tap may begin a try now, if it is one that would."""
        if self._run.state is not RunState.ARMED:
            return True
        may_begin = self._guided.may_begin  # a press that ends a pause begins no try
        self._lead_by(self._guided.begun, at_s)
        return may_begin and self._guided.may_begin

    def _mark(self) -> None:
        """Have the run end by itself where something is aimed at; looked up anew, as the tempo may have changed."""
        aim, run = self._guided.aim, self._run
        if aim is not None and run.state is RunState.RUNNING:
            mark = aim_to_mark(aim, self._counter(), run.started_s, self.rules.reaction_s, self._player.heard_s)
            self._run = run.marked(mark)

    def _lead_by(self, change: Callable[[float], bool], at_s: float) -> None:
        """At rest, let the guide take in what has come about; its next task, and what is to be heard of that."""
        before = self._task
        if self._run.state in (RunState.ARMED, RunState.REST) and change(at_s):
            self._take_task()
            self._sound_rest()
            if self._guided.sound and self._task != before:
                self._player.cue(self._guided.sound, self._guided.number)

    def _take_task(self) -> None:
        """The guide's pattern and tempo; in the same task, what keys have changed stays as it is."""
        before, task = self._task, self._guided.task
        self._task = task
        if task == before:
            return
        if task is not None and task.choice is not None and task.choice == self.choice:
            if task.tempo_bpm not in (None, self.tempo_bpm):
                self._change_tempo(task.tempo_bpm)
        elif chosen := self._guided.chosen():
            self.choice, self.carriage, self.score = chosen.choice, chosen.carriage, chosen.score
            self.name = chosen.choice.entry.title if chosen.choice.entry else None
            self.goals, self._next_entry, self.tempo_bpm = Goals.of(self.score), None, chosen.tempo_bpm
            self._best_among = None
            self.prepare()

    def _start(self) -> None:
        if not self.score.pattern.objects:
            self._run = replace(self._run, state=RunState.ARMED, before=None)
            raise TrainerError("There is nothing to throw in this pattern. Choose one with an object.")
        self._set_quiet()
        self.last_try.leave_out()
        self._notes = ()
        goals = self._goal_roles() if self.rules.counted_by is not CountedBy.TAPS else ()
        count_in = self.rules.count_in(self.score)
        self._player.start(self.score, self.tempo_bpm, self.bank, count_in, goals, self.rules.hearing)

    def _sound_goals(self, taps_before: int, taps: int) -> None:
        per_tap = self._counter().catches_per_tap()
        for catch, role in self._goal_roles():
            if taps_before * per_tap < catch <= taps * per_tap:
                self._player.cue(role)

    def _goal_roles(self) -> tuple[tuple[int, str], ...]:
        return goal_roles(self.goals, self.best, self._guided.aim)

    def _counter(self) -> Counter:
        return Counter(self.score, self.goals, self.rules.counted_by, self.rules.taps_unit)

    def _set_quiet(self) -> None:
        """How long no tap may come, at the tempo as it is now, before a run counted by taps ends."""
        quiet_s = self._counter().quiet_s(self.tempo_bpm)
        self._run = self._run.adjusted(self.rules.counted_by, self.rules.rest_s, quiet_s)

    def _begin_attempt(self) -> None:
        self._hiccups = self._player.hiccups
        self.last_try.begin()
        attempt = self.rules.to_attempt(
            self.score, self.goals, self.tempo_bpm, self.name, self._tries.session_id, self._now()
        )
        self._tries.begin(self._guided.stamp(attempt))

    def _result(self) -> int | None:
        """Catches of the attempt that has ended; None where they are to be typed in."""
        run = self._run
        if self.rules.counted_by is CountedBy.HAND or run.ended is None or run.ended_s is None:
            return None
        if run.ended is Ended.GOAL and self._goal_catches():
            return self._goal_catches()
        by_itself = run.ended in (Ended.GOAL, Ended.TIME)
        beat = self._player.beat_at(run.ended_s - (0.0 if by_itself else self.rules.reaction_s))
        return self._counter().ended(beat if beat is not None else Fraction(0), len(run.taps_s), run.ended)

    def _finish_attempt(self, at_s: float) -> None:
        run = self._run
        assert run.ended is not None
        assert run.ended_s is not None
        self._tries.finish(
            run.ended,
            self._result(),
            max(0.0, run.ended_s - run.started_s),
            self._player.hiccups - self._hiccups,
            "; ".join((*self._notes, *self._player.troubles())),
        )
        self.last_try.end()
        role = "ended" if run.ended in (Ended.COLLECTED, Ended.GOAL, Ended.TIME) else "drop"
        self._guided.wrote(at_s)
        self._player.cue(self._guided.sound or role, self._guided.number if self._guided.sound else 0)

    def _sound_rest(self) -> None:
        """Tell the ear when the rest, or the guide's pause, will end, if this is one."""
        self._player.cancel_cues()
        run = self._run
        if not self._guided.may_begin:
            self._player.count_down(self._guided.pause_ends_s, self.rules.countdown_s)
        elif run.state is RunState.REST:
            self._player.count_down(run.since_s + run.rest_s, self.rules.countdown_s, run.rest_s)

    def _take_rules(self) -> None:
        self._take_task()
        self._take_entry()
        self.rules = self._next_rules
        self._set_quiet()
        self._best_among = None
