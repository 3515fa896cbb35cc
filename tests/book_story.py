"""Two invented job books of Tarn 200 airplanes, for tests and for looking at."""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta
from pathlib import Path

from blankwright.book.records import MoveKind
from blankwright.jobs import book_deviations as dev
from blankwright.jobs import book_hardware as hw
from blankwright.jobs import book_inspection as ins
from blankwright.jobs import book_materials as mat
from blankwright.jobs import book_sizes, book_tasks
from blankwright.jobs.book_log import Picture, log
from blankwright.jobs.book_measured import Measured
from blankwright.jobs.book_needs import Needs, add_need
from blankwright.jobs.book_open import BookAt
from blankwright.jobs.book_plan import plan, state_part
from blankwright.jobs.project import start_project

FIRST_DAY = datetime(2026, 1, 12, 19, 0, tzinfo=UTC)

TRAY = """\
title = "Battery tray"
drawing = "T200-53-04 rev B"
place = "battery bay"

[sizes]
bay_width = "7-3/8 in"   # between the tunnel frames
clear = "0.75 mm"
width = "bay_width - 2*clear"

[sheet]
alloy = "6061-T6"
thickness = "0.040 in"

[flats.floor]
outline = { rectangle = ["width", "5 in"] }

[bends.left]
from = "floor.left"
angle = "90 deg"
inside_radius = "1/8 in"
up = true
leg = { height = "1-1/2 in" }

[bends.lip]
from = "left.tip"
angle = "90 deg"
inside_radius = "1/8 in"
up = false
leg = { height = "5/8 in" }
last = "after the trial fit: the lip must bear on the strap"

[holes.mount]
on = "floor"
at = ["3/4 in", "3/4 in"]
drill = "#30"
grid = { columns = 2, rows = 2, column_pitch = "100 mm", row_pitch = "80 mm" }
"""


def evening(days: int, hours: float = 0.0) -> datetime:
    return FIRST_DAY + timedelta(days=days, hours=hours)


def photo(shade: int, size: tuple[int, int] = (640, 480)) -> bytes:
    """An invented photo: a sheet with four legs, in a shade."""
    from PIL import Image, ImageDraw

    image = Image.new("RGB", size, (shade, 120, 150))
    draw = ImageDraw.Draw(image)
    w, h = size
    draw.rectangle((w * 0.25, h * 0.25, w * 0.75, h * 0.75), outline="black", width=4)
    draw.line((0, 0, w * 0.25, h * 0.25), fill="white", width=6)
    draw.text((10, 10), f"Tarn 200, {shade}", fill="white")
    stream = io.BytesIO()
    image.save(stream, "JPEG", quality=80)
    return stream.getvalue()


def make_project(root: Path, title: str = "Tarn 200") -> Path:
    start_project(root, title)
    (root / "parts" / "battery-tray.toml").write_text(TRAY, encoding="utf-8")
    return root


def ida(book: BookAt, *, with_photos: bool = True) -> None:
    """Tarn 200 No. 014 in mid-build."""
    state_part(book, evening(0), "battery-tray", major="Fuselage", rivets=14, position="upright")
    state_part(book, evening(0), "battery-tray", treat="conversion coat and primer")
    state_part(
        book,
        evening(0),
        "pan-cover",
        title="Pan cover",
        drawing="T200-53-11",
        major="Fuselage",
        position="inverted",
        glue="edge seal",
        cure_hours=24.0,
        rivets=18,
        closes="control run",
    )
    plan(book, evening(0))
    hw.need_item(book, evening(1), "MS20470AD4-5", 14, part="battery-tray", key="tray row")
    hw.need_item(book, evening(1), "MS21059L06", 18, part="pan-cover")
    hw.move_item(
        book, evening(1), "MS20470AD4-5", MoveKind.ORDERED, 100, due=evening(9), reference="7"
    )
    hw.move_item(book, evening(8), "MS20470AD4-5", MoveKind.ARRIVED, 100, reference="7")
    lot = mat.add_lot(
        book, evening(1), "6061-T6 sheet 0.040 in", "H-2217", bought_from="club order"
    )
    mat.use_lot(book, evening(2), lot, "battery-tray")
    hw.move_item(book, evening(1), "6061-T6 sheet 0.040 in", MoveKind.COUNTED, 0.37)
    book_tasks.finish_task(book, evening(1, 0.5), task(book, "battery-tray: measure the place"))
    book_tasks.finish_task(book, evening(2), task(book, "battery-tray: cut"))
    entry_text = "Tray blank cut; frames stand closer than drawn – measured at three places."
    log(
        book,
        evening(2),
        entry_text,
        minutes=50,
        place="bench",
        helpers="Bo Lind held the sheet",
        task=task(book, "battery-tray: cut"),
        pictures=[
            Picture(data=photo(60), name="blank.jpg", caption="blank on the bench"),
            Picture(data=photo(90, (480, 640)), name="frames.jpg", caption="between the frames"),
        ]
        if with_photos
        else [],
        measured=[
            Measured(
                part="battery-tray",
                size="bay_width",
                value="186.4 mm",
                plus_minus="0.3 mm",
                reason="least of three",
            )
        ],
    )
    book_sizes.put_size(book, evening(2, 0.2), 1)
    number = dev.open_deviation(
        book,
        evening(3),
        "Tray 0.6 mm narrower than drawn",
        why="The frames stand closer.",
        drawing="T200-53-04 rev B, view A",
        checked="Battery drops in with 2 mm each side.",
        parts=["battery-tray"],
    )
    word = dev.ask_word(book, evening(3), number, "the designer")
    dev.write_answer(book, evening(6), word, "No load on these walls; go on.")
    dev.close_deviation(book, evening(6, 1), number, "Designer's letter, in the folder.")
    second = dev.open_deviation(book, evening(7), "One rivet of the tunnel 0.4 mm off pitch")
    dev.ask_word(book, evening(7), second, "the club's inspector")
    item = ins.add_yearly(
        book,
        evening(7),
        "Control run under the pan",
        cover="pan-cover",
        minutes=20,
        fasteners={"screw in plate nut": 18},
    )
    ins.yearly_done(book, evening(8), item, minutes=41, found="nothing")
    log(book, evening(9), "Größe ≥ Soll geprüft, 3/4″ 機", minutes=30, part="pan-cover")


def bo(book: BookAt) -> None:
    """Tarn 200 No. 021, hardly begun, everything by hand."""
    for n in range(1, 4):
        number = book_tasks.add_task(
            book, evening(n), f"wing rib {n}", major="Left wing", hours=2.0, position="on its side"
        )
        if n > 1:
            add_need(book, evening(n), number, Needs(after=[number - 1]))
    book_tasks.begin_task(book, evening(4), 1)
    log(book, evening(4), "First rib on the block", minutes=75, task=1)


def task(book: BookAt, title: str) -> int:
    return next(t.id for t in book_tasks.all_tasks(book) if t.title == title)
