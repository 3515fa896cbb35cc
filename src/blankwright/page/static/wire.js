// How views talk to the server. A module of its own, so that all views share the one wire.
export const wire = { say: () => {}, group: 0 };

// A name for what is typed in one go: one window, one visit to one field.
const window_name = Math.random().toString(36).slice(2, 8);
export const newGroup = () => `${window_name}-${++wire.group}`;
