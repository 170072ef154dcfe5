// What is being looked at, and who wants to know when it changes.

export function stateOf(start) {
  const listeners = [];
  let now = start;
  return {
    get now() {
      return now;
    },
    set(change) {
      const next = { ...now, ...change };
      if (Object.keys(change).every((key) => now[key] === next[key])) return;
      now = next;
      for (const listener of listeners) listener(now);
    },
    heard(listener) {
      listeners.push(listener);
      listener(now);
    },
  };
}
