"""What each command does, one module a command; `trainer.cli` reads their words."""
