"""The use cases: one function per thing the user asks for, the same for cli and page."""
