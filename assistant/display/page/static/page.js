// The glance page: shows the newest picture, counts its clocks on, passes touched words on.
"use strict";
(() => {
  const SILENT_MS = 30000;
  const HOLD_MS = 700;
  const byId = (id) => document.getElementById(id);
  const told = document.body.dataset;
  const clock = () => performance.now();

  let picture = null;
  let shownText = "";
  let upAtZero = 0; // the server's since-boot clock when this page's clock stood at zero
  let lastHeard = clock();
  let lost = "";
  let token = "";

  // ---- small drawing aids: text is only ever set as text

  function text(target, value) {
    const element = typeof target === "string" ? byId(target) : target;
    if (element.textContent !== value) element.textContent = value;
    return element;
  }

  // a number stays on one line with its unit
  const whole = (value) => value.replace(/(\d) (?=\S)/g, "$1\u00a0");

  function make(tag, value, kind) {
    const element = document.createElement(tag);
    if (kind) element.className = kind;
    if (value !== undefined) element.textContent = value;
    return element;
  }

  const drawn = new Map();
  function list(id, rows, draw) {
    const key = JSON.stringify(rows);
    if (drawn.get(id) === key) return;
    drawn.set(id, key);
    const place = byId(id).matches("ul,div,tbody") ? byId(id) : byId(id).querySelector("ul");
    place.replaceChildren(...rows.map(draw));
    const section = place.closest("section");
    if (section && section.id !== "balance") section.classList.toggle("empty", rows.length === 0);
  }

  function sign(name) {
    const space = "http://www.w3.org/2000/svg";
    const image = document.createElementNS(space, "svg");
    image.setAttribute("aria-hidden", "true");
    image.setAttribute("viewBox", "0 0 64 58");
    const use = document.createElementNS(space, "use");
    use.setAttribute("href", `#sign-${name}`);
    image.append(use);
    return image;
  }

  // ---- the picture

  function show(now) {
    picture = now;
    document.body.classList.toggle("no-job", now === null);
    if (now === null) {
      text("step-title", told.waiting);
      return;
    }
    text("vehicle", now.vehicle || now.title);
    showStep(now);
    list("cautions", now.cautions, drawCaution);
    showSide("out", now.out, now.balance.expected_text && `${told.expected} ${now.balance.expected_text}`);
    showSide("in", now.in, now.balance.taken ? `${now.balance.advised_text} ${told.advised}` : "");
    showBalance(now.balance);
    showUnits(now.units, now.round);
    list("timers", now.timers, drawTimer);
    list("heard", now.heard, drawHeard);
    text("said", now.said ? now.said.join(" ") : "");
    byId("spoken").hidden = !now.said || now.said.length === 0;
    list("readings", now.readings, drawReading);
    list("fits", now.fits, (one) => make("li", one));
    showTouch(now.touch);
    text("quiet", now.ended || (now.quiet === "stop" ? told.stop : now.quiet ? told.standingBy : ""));
    document.body.dataset.place = now.place;
    document.body.dataset.quiet = now.ended ? "ended" : now.quiet;
    tick();
  }

  function showStep(now) {
    const step = now.step;
    text("count", step ? `${told.step} ${step.number} ${told.of} ${step.of}` : "");
    text("step-title", step ? step.title : now.title).classList.toggle("long", Boolean(step) && step.title.length > 20);
    text("figure", step ? step.figure : "");
    text("asked", now.asked);
    text("step-text", step ? step.text : "");
    text("tool", step && step.tool ? `${told.tool}: ${step.tool}` : "");
    document.title = step ? `${step.number} ${step.title}` : now.title;
  }

  function showSide(side, now, note) {
    text(`${side}-number`, now.none ? "" : now.number);
    text(`${side}-unit`, now.none ? told.nothing : now.unit);
    text(`${side}-note`, note || "");
    const more = now.more ? [{ id: 0, text: `${now.more} ${told.more}`, status: "", mark: "" }] : [];
    list(`${side}-entries`, [...more, ...now.entries], drawReading);
  }

  function bar(id, share) {
    const height = 188 * Math.min(share || 0, 1);
    byId(id).setAttribute("y", String(194 - height));
    byId(id).setAttribute("height", String(height));
  }

  function showBalance(now) {
    const y = (share) => 194 - 188 * share;
    bar("bar-out", now.out);
    bar("bar-in", now.in);
    const band = now.least !== undefined && now.most !== undefined;
    byId("band").setAttribute("d", band ? `M22 ${y(now.least)}H12V${y(now.most)}H22` : "");
    byId("mark-expected").setAttribute("d", now.expected !== undefined ? `M4 ${y(now.expected)}H26` : "");
    const advised = now.taken && now.advised !== undefined;
    byId("mark-advised").setAttribute("d", advised ? `M154 ${y(now.advised)}L176 ${y(now.advised) - 8}V${y(now.advised) + 8}Z` : "");
    const go = now.to_go;
    text("to-go-label", go ? (go.over ? told.tooMuch : told.toGo) : "");
    text("to-go-number", go ? go.number : "");
    text("to-go-unit", go ? go.unit : "");
    byId("to-go").hidden = !go;
  }

  function showUnits(units, round) {
    byId("units").hidden = units.length === 0;
    document.body.classList.toggle("several", units.length > 0);
    list("unit-rows", units, (one) => {
      const row = make("tr", undefined, one.here ? "here" : "");
      const name = make("th", one.name);
      name.scope = "row";
      if (one.marks) name.append(make("span", one.marks, "mark"));
      row.append(name, make("td", one.out || "\u2013"), make("td", one.in || "\u2013"));
      return row;
    });
    const sums = round && [round.out && `${round.out} ${told.out}`, round.in && `${round.in} ${told.in}`].filter(Boolean);
    text("round", round ? `${told.round} ${round.number}${sums.length ? `; ${told.inAll} ${sums.join(", ")}` : ""}` : "");
  }

  function drawCaution(one) {
    const row = make("li", undefined, `${one.signal} ${one.risk}`);
    const panel = make("span", undefined, "panel");
    if (one.risk === "person") panel.append(sign("warning"));
    panel.append(make("strong", one.word));
    const body = make("span", undefined, "body");
    if (one.risk !== "person") body.append(sign("notice"));
    body.append(make("em", `${one.at_risk}: `), document.createTextNode(one.text));
    row.append(panel, body);
    return row;
  }

  function drawTimer(one) {
    const row = make("li", undefined, one.state);
    row.dataset.due = one.due_up_ms;
    row.dataset.whole = one.whole_ms;
    row.dataset.held = one.held_ms;
    row.dataset.state = one.state;
    const track = make("span", undefined, "track");
    track.append(make("i"));
    row.append(make("span", one.name, "name"), make("b", "", "digits"), make("span", "", "word"), track);
    return row;
  }

  function drawHeard(one) {
    const row = make("li", undefined, one.status);
    if (one.words) row.append(make("q", one.words));
    row.append(make("b", whole(one.text)));
    if (one.mark) row.append(make("span", one.mark, "mark"));
    return row;
  }

  function drawReading(one) {
    const row = make("li", undefined, one.status);
    if (one.kind) row.append(make("span", one.kind, "kind"), document.createTextNode(" "));
    row.append(make("b", whole(one.text)));
    if (one.mark) row.append(make("span", one.mark, "mark"));
    row.classList.add("entry");
    return row;
  }

  // ---- clocks count on from their due instants

  function digits(ms) {
    const seconds = Math.ceil(Math.max(ms, 0) / 1000);
    const hours = Math.floor(seconds / 3600);
    const minutes = Math.floor(seconds / 60) % 60;
    const pad = (value) => String(value).padStart(2, "0");
    return hours ? `${hours}:${pad(minutes)}:${pad(seconds % 60)}` : `${minutes}:${pad(seconds % 60)}`;
  }

  function tick() {
    const up = clock() + upAtZero;
    for (const row of document.querySelectorAll("#timers li")) {
      const held = row.dataset.state === "held";
      const left = held ? Number(row.dataset.held) : Math.max(Number(row.dataset.due) - up, 0);
      const over = row.dataset.state === "over" || (!held && left === 0);
      row.classList.toggle("over", over);
      text(row.querySelector(".digits"), over ? digits(0) : digits(left));
      text(row.querySelector(".word"), over ? told.over : held ? told.held : told.left);
      const share = over ? 1 : 1 - left / Math.max(Number(row.dataset.whole), 1);
      row.querySelector("i").style.width = `${Math.round(100 * share)}%`;
    }
    const silent = clock() - lastHeard;
    const dead = silent >= SILENT_MS;
    document.body.dataset.live = dead ? "no" : lost ? "lost" : picture && !picture.written ? "ended" : "yes";
    const ago = `${told.silentFor} ${digits(silent)} ${told.ago}`;
    const unsaved = picture && picture.unsaved ? told.unsaved : "";
    // told once, not every second: the part that counts is not read out
    const unwritten = picture && !picture.written ? told.unwritten : "";
    const alarm = dead ? told.notLive : lost ? told.lost : unwritten || unsaved;
    if (byId("alarm").dataset.told !== alarm) {
      byId("alarm").dataset.told = alarm;
      byId("alarm").replaceChildren(make("b", alarm), make("span", ""));
      byId("alarm").lastChild.setAttribute("aria-hidden", "true");
      if (!alarm) byId("alarm").replaceChildren();
    }
    if (dead) text(byId("alarm").lastChild, ` ${ago}`);
  }

  // ---- touched words

  const holding = new Set(); // a knuckle bounces: the same word is not taken again at once
  function showTouch(words) {
    byId("touch").hidden = words.length === 0;
    const focused = document.activeElement && document.activeElement.dataset.word;
    list("words", words, (one) => {
      const button = make("button", one.label, one.fits ? "fits" : "");
      button.type = "button";
      button.dataset.word = one.word;
      button.addEventListener("click", () => touch(one.word, one.label));
      return button;
    });
    if (focused && document.activeElement === document.body) {
      const again = byId("words").querySelector(`[data-word="${focused}"]`) || byId("words").querySelector("button");
      if (again) again.focus();
    }
  }

  async function touch(word, label) {
    if (holding.has(word) || picture === null) return;
    holding.add(word);
    setTimeout(() => holding.delete(word), HOLD_MS);
    const values = crypto.getRandomValues(new Uint32Array(4));
    const body = JSON.stringify({ word, place: picture.place, press: Array.from(values, (one) => one.toString(36)).join("") });
    text("answer", "");
    try {
      const answer = await fetch("/word", {
        method: "POST",
        headers: { "Content-Type": "application/json", "X-Sheet-Token": token },
        body,
      });
      const why = { 409: told.movedOn, 429: told.tooSoon }[answer.status] || told.notTaken;
      text("answer", answer.ok ? `${told.taken} ${label}` : why);
    } catch {
      text("answer", told.notTaken);
    }
  }

  // ---- what comes in

  function take(event, data, age) {
    const at = clock() - age;
    if (event === "lost") {
      lost = data;
      if (data === "refused") fetch("/").then((answer) => { if (answer.status === 401) location.reload(); }, () => {});
      tick();
      return;
    }
    lost = "";
    lastHeard = Math.max(lastHeard, at);
    const got = JSON.parse(data);
    if (event === "hello") {
      token = got.token;
      if (got.version !== told.version && sessionStorage.getItem("made") !== got.version) {
        sessionStorage.setItem("made", got.version);
        location.reload();
      }
    } else if (event === "sound") {
      byId("ear").hidden = false;
      for (const name of ["level", "noise"]) {
        byId(`ear-${name}`).style.width = `${Math.min(Math.max((got[name] + 70) / 0.7, 0), 100)}%`;
        text(`ear-${name}-text`, `${String(got[name]).replace("-", "\u2212")} dB`);
      }
    } else {
      upAtZero = got.up_ms - at;
      if (event === "picture" && data !== shownText) {
        shownText = data;
        show(got.picture);
      }
    }
    tick();
  }

  function listen() {
    if (window.SharedWorker) {
      const worker = new SharedWorker(`/stream.js?v=${told.version}`);
      worker.port.onmessage = (message) => take(message.data.event, message.data.data, message.data.age);
      worker.port.start();
      return;
    }
    const source = new EventSource("/stream");
    for (const name of ["hello", "picture", "beat", "sound"]) {
      source.addEventListener(name, (event) => take(name, event.data, 0));
    }
    source.onerror = () => {
      const over = source.readyState === EventSource.CLOSED;
      take("lost", over ? "refused" : "looking", 0);
      if (over) setTimeout(listen, 1000);
    };
  }

  // ---- day and dark

  // kept as a cookie, so that every page comes in the right one; the store of a browser is slow to open
  byId("shade").addEventListener("click", () => {
    const set = document.documentElement.dataset.shade;
    const dark = set ? set === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;
    document.documentElement.dataset.shade = dark ? "day" : "dark";
    document.cookie = `shade=${dark ? "day" : "dark"}; path=/; max-age=31536000; samesite=strict`;
  });

  // the page brings its first picture along; the stream brings every later one
  const [arrival] = performance.getEntriesByType("navigation");
  const brought = arrival ? clock() - arrival.responseStart : 0;
  take("hello", told.hello, brought);
  take("picture", told.first, brought);
  setInterval(tick, 250);
  listen();
})();
