"""Outputs: the only code that opens a sound device.

An output pulls one endless stream of frames from a thread of its own, silence included, and knows at any time which
frame is heard. What always holds: a device is opened once and left open, and when it is lost the clock goes on pulling.
Import from the modules: this one imports nothing, so that nobody loads a device's code who asks for a constant.

Decided: What is heard now comes from the output's own clock: the least (second of a request − frames before it /
  rate) of recent requests, plus the latency.
Because: A request can come late but never early, and a screen that counted beats itself would drift from the sound.
Given up: Knowing which frame is heard before the first request.

Decided: 100 ms of sound are kept ahead, and a setting can have 50 to 500.
Because: A press that ends a run is heard after 98 ms (median of 50, worst 151); with 200 ms it was 243 and 310
  (tests/bench/answers.py, through PulseAudio).
Given up: Sound that comes through a longer stall: 40 to 70 ms of it go unheard, with 200 ms it was 120. Beside a
  browser that starts again and again, and installs, the beat broke about once a minute (tests/bench/holding.py).

Decided: simpleaudio is refused, and not imported, on Python 3.12 and newer.
Because: Its version 1.0.4 ends the process there as soon as a sound ends.
Given up: A second output on those versions of Python.
"""
