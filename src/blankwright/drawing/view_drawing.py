"""A view of the formed part as a drawing."""

from __future__ import annotations

from blankwright.develop.view import Shown, View
from blankwright.drawing.layers import VIEW_EDGE, VIEW_HIDDEN, VIEW_TANGENT
from blankwright.drawing.model import Drawing, Stroke

_LAYERS = {
    Shown.EDGE: VIEW_EDGE,
    Shown.TANGENT: VIEW_TANGENT,
    Shown.HIDDEN: VIEW_HIDDEN,
}


def view_drawing(view: View, *, hidden: bool = True) -> Drawing:
    """Draw a view at full size.

    Args:
        view: the view
        hidden: whether hidden edges are drawn
    """
    items = [
        Stroke(layer=_LAYERS[shown], edge=edge)
        for shown, edge in view.edges
        if hidden or shown is not Shown.HIDDEN
    ]
    return Drawing(title=view.name, items=tuple(items))
