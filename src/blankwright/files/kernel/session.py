"""Settings of the kernel that hold for the whole process: quiet, mm, fixed schema."""

from __future__ import annotations

from functools import cache

from OCP.Interface import Interface_Static
from OCP.Message import Message
from OCP.STEPControl import STEPControl_Controller


@cache
def prepare() -> None:
    """Set the kernel up once: nothing printed, STEP in mm as AP242, curves on surfaces kept."""
    messenger = Message.DefaultMessenger_s()
    for printer in list(messenger.Printers()):
        messenger.RemovePrinter(printer)
    STEPControl_Controller.Init_s()
    Interface_Static.SetCVal_s("write.step.schema", "AP242DIS")
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
    Interface_Static.SetIVal_s("write.surfacecurve.mode", 1)
