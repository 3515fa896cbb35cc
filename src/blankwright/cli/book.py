"""`blankwright book`: the job book. Its commands are loaded only when they are called."""

from __future__ import annotations

import importlib

import click

COMMANDS: dict[str, tuple[str, str, str]] = {
    "start": ("book_work", "start", "Start the job book, or say whose airplane it is."),
    "plan": ("book_work", "plan", "Make the tasks of the project's parts."),
    "next": ("book_work", "next_", "What can be done now, and what waits for what."),
    "chain": ("book_work", "chain", "The chain of tasks that decides when all is done."),
    "batches": ("book_work", "batches", "The order that turns over and sets up least."),
    "pace": ("book_work", "pace", "Say how much is worked, and what turning over takes."),
    "hours": ("book_work", "hours", "Hours expected, left and taken."),
    "tasks": ("book_task", "tasks", "List all tasks."),
    "task": ("book_task", "task", "Write a task by hand."),
    "change": ("book_task", "change_", "Change a task."),
    "needs": ("book_task", "needs", "Say what a task needs first."),
    "begin": ("book_task", "begin", "A task is begun."),
    "done": ("book_task", "done", "A task is done."),
    "drop": ("book_task", "drop", "A task is not needed."),
    "part": ("book_task", "part", "Say of a part what its drawing file doesn't."),
    "lies": ("book_task", "lies", "Say how the airplane lies now."),
    "log": ("book_log", "log_", "Write down what was done."),
    "correct": ("book_log", "correct", "Correct a log entry."),
    "entries": ("book_log", "entries", "Show the log."),
    "size": ("book_log", "size", "Put a measurement into its part file."),
    "phone": ("book_phone", "phone", "Take log entries from a phone in the same room."),
    "hardware": ("book_hardware", "hardware", "What is in hand, on order, to order."),
    "takes": ("book_hardware", "takes", "Say what hardware a part or task takes."),
    "ordered": ("book_hardware", "ordered", "Hardware was ordered."),
    "arrived": ("book_hardware", "arrived", "Hardware arrived."),
    "used": ("book_hardware", "used", "Hardware was used."),
    "counted": ("book_hardware", "counted", "Hardware was counted on the shelf."),
    "cancelled": ("book_hardware", "cancelled", "Of what was on order, this will not come."),
    "item": ("book_hardware", "item_", "Say what a hardware item is."),
    "deviation": ("book_deviation", "deviation", "What differs from the drawing."),
    "stage": ("book_inspection", "stage", "Stages to be seen before they are closed up."),
    "recurring": ("book_inspection", "recurring", "Recurring inspection items."),
    "lot": ("book_materials", "lot", "Material lots."),
    "coupons": ("book_materials", "coupons", "Take in the results of the shop's test strips."),
    "record": ("book_keep", "record", "Print the builder's record."),
    "history": ("book_keep", "history_", "Every change of the book."),
    "take-back": ("book_keep", "take_back_", "Take a change back."),
    "backup": ("book_keep", "backup", "Write the whole book into one file."),
    "restore": ("book_keep", "restore_", "Put a backup where no book is yet."),
    "export": ("book_keep", "export", "Write the book as JSON or CSV."),
    "import": ("book_keep", "import_", "Read JSON or CSV into the book."),
    "check": ("book_keep", "check", "Look the book and its photos over."),
}
"""Command name to module, name in it, and its line of help."""


class _Lazy(click.Group):
    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module, name, _ = COMMANDS[cmd_name]
        found: click.Command = getattr(importlib.import_module(f"blankwright.cli.{module}"), name)
        found.name = cmd_name
        return found

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, _, text) in COMMANDS.items()])


@click.group(cls=_Lazy)
def command() -> None:
    """The job book: what next, what waits, what was done, measured and changed.

    The book writes down and counts; it never says that anything is airworthy. The drawing, the
    designer and the inspector decide.
    """
