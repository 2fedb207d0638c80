"""What comes with the trainer, read once for all tests of a process."""

from trainer.audio.kitfiles import list_kits
from trainer.files.places import bundled
from trainer.library.reading import read_library

LIBRARY = read_library((bundled("patterns"),))
KITS = list_kits((bundled("sounds"),))[0]
