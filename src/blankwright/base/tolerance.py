"""The tolerances that geometry is judged by, each named and with its reason."""

from typing import Final

TOUCH: Final = 1e-6
"""Two points closer than this are one point [mm]. Far under any shop's reach, far over rounding."""

ANGLE: Final = 1e-9
"""Two directions closer than this are parallel [rad]. 1e-6 mm over a metre."""

CHORD: Final = 0.01
"""How far a chord may stand off its arc in checks and pictures [mm]. Never used for files."""

PROOF: Final = 0.01
"""How far a written file may differ from the blank before it is thrown away [mm]."""

PROOF_PRINT: Final = 0.1
"""How far a print may differ from the blank before it is thrown away [mm]."""
