"""A practice session: key presses and the time come in, sound goes out, attempts go to the logbook.

A session knows no screen. A screen calls `press` with each stamped press, `tick` a few times a second, and draws what
`view` says.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from fractions import Fraction
from typing import Any

from trainer.audio.performance import Performance
from trainer.audio.player import Player, prepare
from trainer.audio.synth import Bank
from trainer.config import Settings
from trainer.errors import TrainerError
from trainer.library.chosen import Chosen, choose
from trainer.practice.count import CLEAN, Counter
from trainer.practice.guide import NoGuide, Task
from trainer.practice.pedal import Edge, Meant, Pedal
from trainer.practice.run import BY_ITSELF, Run, RunState, Signal
from trainer.records.attempt import CountedBy, Ended
from trainer.session.guided import Guided
from trainer.session.lasttry import LastTry
from trainer.session.rules import count_in_beats, to_attempt, to_figure, to_hearing
from trainer.session.tries import Tries
from trainer.session.view import View
from trainer.timing.tempo import format_number

AT_REST = (RunState.ARMED, RunState.REST)
MOST_NOTED = 200
"""So many changes of tempo a try notes, the last ones, so that its note stays within texts.NOTE."""


class Session:
    """Practice of what was chosen. Times are seconds of the output's clock, the one that stamps presses.

    chosen: what is practised now, known here alone. settings: how attempts are made, and how the patterns of a guide
    are carried out; others take effect between two attempts. now: gives the time of day with its offset, for the
    logbook. guided: who says at rest what comes next, None for nobody; its first task is taken at once.
    """

    def __init__(
        self,
        chosen: Chosen,
        settings: Settings,
        bank: Bank,
        player: Player,
        tries: Tries,
        now: Callable[[], datetime],
        guided: Guided[Any] | None = None,
    ) -> None:
        self.chosen, self.bank = chosen, bank
        self.settings = self._next_settings = settings
        self._player, self._tries, self._now = player, tries, now
        self._run = Run(self.settings.counted_by, self.settings.rest_s, 0.0)
        self._pedals = {Signal.TAP: Pedal(), Signal.END: Pedal()}
        self._hiccups = 0
        self._notes: tuple[str, ...] = ()
        self.last_try = LastTry(tries, now)
        self._next_entry = chosen.score.entry
        self._guided = guided or Guided(NoGuide(Task(chosen.choice)), tries)
        self._task: Task | None = None
        self._take_task()
        if guided is not None:
            self._player.stand_by(self.chosen.score, self.chosen.tempo_bpm, bank)

    @property
    def best(self) -> int | None:
        """The most catches so far of this pattern, as it is counted now."""
        return self._tries.best(to_figure(self.settings, self.chosen))

    def prepare(self) -> None:
        """Make the sounds of a try ahead of time, so that its start has less to do."""
        score = self.chosen.score
        prepare(score, self.chosen.tempo_bpm, self.bank, count_in_beats(self.settings, score))

    # -- what comes in --------------------------------------------------------------------------------------

    @property
    def under_way(self) -> bool:
        """Whether a try is under way: from its count-in until it is written down."""
        return self._run.state not in AT_REST

    def press(self, at_s: float, edge: Edge = Edge.DOWN, signal: Signal = Signal.TAP) -> None:
        """A press of the pedal, or with Signal.END of the key that only ends a run, stamped as its bytes arrived."""
        self._pedals[signal], meant = self._pedals[signal].press(at_s, edge)
        self.tick(at_s)
        if meant is Meant.TAKE_BACK:
            self._follow(self._run.take_back())
        elif meant is Meant.TAP and (signal is Signal.END or self._may_begin(at_s)):
            self._follow(self._run.signal(signal, at_s))
        elif meant is Meant.TAP:
            self._run = self._run.untouched()

    def tick(self, now_s: float) -> None:
        """Do what time has brought about: the first beat, the end of a run or a rest, the guide's next task."""
        first_beat_s = self._player.first_throw_s() if self._run.state is RunState.COUNT_IN else None
        if first_beat_s is not None and first_beat_s <= now_s:
            self._follow(self._run.signal(Signal.FIRST_BEAT, first_beat_s))
        self._set_limit()
        while (after := self._run.step(now_s)) is not None:
            self._follow(after)
        self._lead_by(self._guided.catch_up, now_s)

    def give_up(self, now_s: float) -> None:
        """End the try under way: a run is written as given up, a count-in is not written."""
        self.tick(now_s)
        self._follow(self._run.signal(Signal.GIVE_UP, now_s))

    def settle(self, now_s: float) -> None:
        """Write a run that has ended at once, without waiting for a second press."""
        if self._run.state is RunState.ENDED:
            self._follow(self._run.signal(Signal.SETTLED, now_s))

    def go_on(self, now_s: float) -> None:
        """Go on to the guide's next block. While a try is under way nothing happens."""
        self._lead_by(self._guided.skip, now_s)

    def leave(self, now_s: float) -> None:
        """Give up what is under way, write everything down, and be silent."""
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
        self.chosen = chosen = self.chosen.with_tempo(tempo_bpm)
        if self._run.state is RunState.RUNNING:
            self._notes = (*self._notes[1 - MOST_NOTED :], f"tempo changed to {format_number(tempo_bpm)}")
        self._set_quiet()
        beats = self.settings.glide_rounds * chosen.score.pattern.round

        def change(performance: Performance, at_frame: int) -> Performance:
            return performance.with_score(chosen.score).with_glide(tempo_bpm, beats, at_frame)

        self._player.change(change)

    def set_dwell(self, dwell: Fraction) -> None:
        """Another dwell ratio. Raises TrainerError as set_tempo does."""
        self._guided.require_free()
        self.chosen = chosen = self.chosen.with_dwell(dwell)
        self._player.change(lambda performance, _: performance.with_score(chosen.score))

    def toggle_entry(self) -> None:
        """Begin the next try through the entry throws from the plain cascade or fountain, or again without them.

        Raises TrainerError where the pattern needs no entry, or has none.
        """
        self._next_entry = self.chosen.find_entry() if self._next_entry is None else None
        if self._run.state in AT_REST:
            self.chosen = self.chosen.with_entry(self._next_entry)

    def use(self, settings: Settings, bank: Bank) -> None:
        """Other settings and sounds; an attempt under way keeps the way of counting it began with."""
        self._next_settings = settings
        if self._run.state in AT_REST:
            self._take_settings()
            self._sound_rest()
        if bank is not self.bank:
            self.bank = bank
            self.prepare()
            self._player.change(lambda performance, _: performance.with_bank(bank))

    # -- what goes out --------------------------------------------------------------------------------------

    def view(self, now_s: float) -> View:
        """What to show at a moment."""
        run = self._run
        beat = self._player.beat_at(now_s) if run.state in (RunState.COUNT_IN, RunState.RUNNING) else None
        change = run.next_change()
        return View(
            now_s=now_s,
            state=run.state,
            chosen=self.chosen,
            settings=self._next_settings,
            guide=self._guided.guide,
            beat=beat,
            tempo=self._player.tempo if beat is not None else None,
            catches=self._catches(beat),
            ended=run.ended,
            counts_down_s=change[0] - now_s if change and run.state is RunState.REST else None,
            typed=self.last_try.typed,
            best=self.best,
            last=self.last_try.attempt,
        )

    def _catches(self, beat: Fraction | None) -> int | None:
        """The catches so far; None where nobody has counted them."""
        run, last = self._run, self.last_try.attempt
        if run.state is RunState.COUNT_IN:
            return 0
        if run.state is RunState.RUNNING:
            return self._counter().running(beat or Fraction(0), len(run.taps_s))
        if run.state is RunState.ENDED:
            return self._result()
        of_another = last is not None and last.pattern != self.chosen.choice.pattern.text
        if run.state is RunState.ARMED and of_another:
            return 0
        return last.catches if last else None

    # -- inside ---------------------------------------------------------------------------------------------

    def _follow(self, run: Run) -> None:
        """Take the run over, and do what its new state asks for."""
        before, self._run = self._run, run
        if run.state is before.state:
            if len(run.taps_s) > len(before.taps_s):
                self._sound_goals(len(before.taps_s), len(run.taps_s))
            if run.state is RunState.ENDED and run.ended is not before.ended:
                self._tries.end(*self._ending())
            return
        if run.state is RunState.COUNT_IN:
            self._start()
        elif run.state is RunState.ARMED and before.state is RunState.COUNT_IN:
            self._player.stop()
            self._take_settings()
        elif run.state is RunState.RUNNING and before.state is RunState.ENDED:
            self._player.resume()
            self._tries.resume()
        elif run.state is RunState.RUNNING:
            self._begin_attempt()
        elif run.state is RunState.ENDED:
            self._player.stop()  # before the write, which may take a while
            self._tries.end(*self._ending())
        else:
            if before.state is RunState.ENDED:
                self._finish_attempt(run.since_s)
                self._take_settings()
            self._sound_rest()

    # -- following a guide ----------------------------------------------------------------------------------

    def _may_begin(self, at_s: float) -> bool:
        """Whether the guide lets a tap begin a try; True for a tap that would begin none."""
        if self._run.state is not RunState.ARMED:
            return True
        may_begin = self._guided.may_begin  # a press that ends a pause begins no try
        self._lead_by(self._guided.begun, at_s)
        return may_begin and self._guided.may_begin

    def _set_limit(self) -> None:
        """Set what ends the run by itself. It is worked out anew each time, as the tempo may have changed."""
        if self._run.state is RunState.RUNNING:
            limit = self._counter().limit(self._run.started_s, self.settings.reaction_s, self._player.heard_s)
            self._run = self._run.limited(limit)

    def _lead_by(self, change: Callable[[float], bool], at_s: float) -> None:
        """At rest, tell the guide what has happened; take its task and sound what it says of it."""
        before = self._task
        if self._run.state in AT_REST and change(at_s):
            self._take_task()
            self._sound_rest()
            if self._guided.guide.sound and self._task != before:
                self._player.cue(self._guided.guide.sound, self._guided.number)

    def _take_task(self) -> None:
        """Take the pattern and tempo of the guide's task; while the task is the same, what keys have changed stays."""
        before, task = self._task, self._guided.task
        self._task = task
        if task is None or task.choice is None or task == before:
            return
        if task.choice != self.chosen.choice:
            self.chosen, self._next_entry = choose(task.choice, self._next_settings, task.tempo_bpm), None
            self.prepare()
        elif task.tempo_bpm not in (None, self.chosen.tempo_bpm):
            self._change_tempo(task.tempo_bpm)

    def _start(self) -> None:
        score = self.chosen.score
        if not score.pattern.objects:
            self._run = replace(self._run, state=RunState.ARMED, before=None)
            raise TrainerError("There is nothing to throw in this pattern. Choose one with an object.")
        self._set_quiet()
        self.last_try.leave_out()
        self._notes = ()
        goals = self._counter().roles(self.best) if self.settings.counted_by is not CountedBy.TAPS else ()
        count_in = count_in_beats(self.settings, score)
        self._player.start(score, self.chosen.tempo_bpm, self.bank, count_in, goals, to_hearing(self.settings))

    def _sound_goals(self, taps_before: int, taps: int) -> None:
        counter = self._counter()
        per_tap = counter.catches_per_tap()
        for catch, role in counter.roles(self.best):
            if taps_before * per_tap < catch <= taps * per_tap:
                self._player.cue(role)

    def _counter(self) -> Counter:
        settings, task = self.settings, self._guided.task
        return Counter(self.chosen.score, settings.counted_by, settings.taps_count, task.aim if task else None)

    def _set_quiet(self) -> None:
        """Set how long no tap may come, at this tempo, before a run counted by taps ends."""
        quiet_s = self._counter().quiet_s(self.chosen.tempo_bpm)
        self._run = self._run.adjusted(self.settings.counted_by, self.settings.rest_s, quiet_s)

    def _begin_attempt(self) -> None:
        self._hiccups = self._player.hiccups
        self.last_try.begin()
        attempt = to_attempt(self.settings, self.chosen, self._now())
        self._tries.begin(self._guided.stamp(attempt))

    def _result(self) -> int | None:
        """Catches of the attempt that has just ended; None where they are to be typed in."""
        run = self._run
        assert run.ended is not None
        assert run.ended_s is not None
        late_s = 0.0 if run.ended in BY_ITSELF else self.settings.reaction_s
        beat = self._player.beat_at(run.ended_s - late_s)
        return self._counter().ended(beat or Fraction(0), len(run.taps_s), run.ended)

    def _ending(self) -> tuple[Ended, int | None, float, int, str]:
        """How the run has ended, by what is known now: as Tries.end and Tries.finish take it."""
        run = self._run
        assert run.ended is not None
        assert run.ended_s is not None
        note = "; ".join((*self._notes, *self._player.troubles()))
        seconds = max(0.0, run.ended_s - run.started_s)
        return run.ended, self._result(), seconds, self._player.hiccups - self._hiccups, note

    def _finish_attempt(self, at_s: float) -> None:
        ended, *_ = ending = self._ending()
        self._tries.finish(*ending)
        self.last_try.end()
        self._guided.wrote(at_s)
        if self._guided.guide.sound:
            self._player.cue(self._guided.guide.sound, self._guided.number)
        else:
            self._player.cue("ended" if ended in CLEAN else "drop")

    def _sound_rest(self) -> None:
        """Have the end of the rest, or of the guide's pause, counted down, if this is one."""
        self._player.cancel_cues()
        run, task = self._run, self._guided.task
        if not self._guided.may_begin:
            self._player.count_down(task.ends_s if task else None, self.settings.countdown_s)
        elif run.state is RunState.REST:
            self._player.count_down(run.since_s + run.rest_s, self.settings.countdown_s, run.rest_s)

    def _take_settings(self) -> None:
        self._take_task()
        self.chosen = self.chosen.with_entry(self._next_entry)
        self.settings = self._next_settings
        self._set_quiet()
