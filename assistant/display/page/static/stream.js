// One stream for all tabs of a browser: it allows six connections to one place, and a seventh tab would hang.
"use strict";
const ports = [];
const newest = new Map();

function give(event, data) {
  const message = { event, data, at: performance.now() };
  if (event === "lost") newest.delete("beat");
  if (event !== "sound") newest.set(event, message);
  for (const port of ports) port.postMessage({ event, data, age: 0 });
}

function open() {
  const source = new EventSource("/stream");
  for (const name of ["hello", "picture", "beat", "sound"]) {
    source.addEventListener(name, (event) => give(name, event.data));
  }
  source.onopen = () => newest.delete("lost");
  source.onerror = () => {
    const over = source.readyState === EventSource.CLOSED;
    give("lost", over ? "refused" : "looking");
    if (over) {
      source.close();
      setTimeout(open, 1000);
    }
  };
}

self.onconnect = (event) => {
  const port = event.ports[0];
  ports.push(port);
  for (const { event: name, data, at } of newest.values()) {
    port.postMessage({ event: name, data, age: performance.now() - at });
  }
  if (ports.length === 1) open();
};
