"""From a flat drawing to a blank: an outline with bend lines on it."""
