"use strict";
(() => {
  const told = JSON.parse(document.getElementById("told").textContent);
  const say = told.say;
  const el = (id) => document.getElementById(id);
  const phase = document.body.dataset.phase;
  const OLD_MS = 2000;
  let state = told.state;

  // --- orders -------------------------------------------------------------------------------

  const post = (where, fields) =>
    fetch(where, { method: "POST", body: new URLSearchParams(fields || {}), redirect: "manual", keepalive: true });

  // Asked again until it is heard: nobody should have to press twice.
  let isStopping = false;
  const stop = async () => {
    if (isStopping) return;
    isStopping = true;
    el("stop").firstChild.textContent = say.stopping;
    const late = setTimeout(() => (el("unheard").hidden = false), OLD_MS);
    while (!(await post("/stop").then(() => true, () => false))) {
      el("unheard").hidden = false;
      await new Promise((next) => setTimeout(next, 500));
    }
    clearTimeout(late);
    el("unheard").hidden = true;
    el("stop").firstChild.textContent = say.stop;
    isStopping = false;
  };
  el("stop-form").addEventListener("submit", (event) => {
    event.preventDefault();
    stop();
  });
  document.querySelectorAll("form[data-quiet]").forEach((form) =>
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      post(form.getAttribute("action"), new FormData(form));
    })
  );

  // a run that is on; the coach's too
  const takesMarks = () => state.phase === "running" && !state.judging && Boolean(state.now ? state.now.takes_marks : state.coach);
  const isTyping = (where) => where.closest && where.closest("input, textarea, select, [contenteditable]");
  addEventListener(
    "keydown",
    (event) => {
      if (event.key === "Escape") stop();
      else if (event.key === "m" && !event.repeat && !event.ctrlKey && !event.metaKey && !event.altKey && !isTyping(event.target) && takesMarks())
        post("/melt/mark");
    },
    true
  );

  // --- sound --------------------------------------------------------------------------------

  let audio = null;
  const beep = (times) => {
    if (!audio) return;
    for (let i = 0; i < times; i += 1) {
      const tone = audio.createOscillator();
      const gain = audio.createGain();
      const at = audio.currentTime + 0.45 * i;
      tone.frequency.value = 880;
      gain.gain.setValueAtTime(0.25, at);
      gain.gain.exponentialRampToValueAtTime(0.001, at + 0.35);
      tone.connect(gain).connect(audio.destination);
      tone.start(at);
      tone.stop(at + 0.4);
    }
  };
  // browsers let a page sound only after a tap or a key
  const wake = () => {
    audio = audio || new AudioContext();
    audio.resume();
  };
  addEventListener("pointerdown", wake, { once: true });
  addEventListener("keydown", wake, { once: true });
  if (el("sound"))
    el("sound").addEventListener("click", () => {
      wake();
      beep(3);
    });

  // --- charts -------------------------------------------------------------------------------

  const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue("--" + name).trim();
  const number = (unit, digits) => (plot, value) => (value == null ? "–" : value.toFixed(digits) + " " + unit);
  const degrees = number("°C", 0);
  const height = () => (innerWidth < 560 ? 260 : Math.min(Math.max(innerHeight - 320, 320), 520));

  // its words stand above the line, or below it where another thing lies close above
  const level = (plot, at, words, dash, down = -5) => {
    if (at == null) return;
    const y = Math.round(plot.valToPos(at, "°C", true));
    if (y < plot.bbox.top) return;
    const pen = plot.ctx;
    pen.save();
    pen.strokeStyle = pen.fillStyle = colour("soft");
    pen.setLineDash(dash);
    pen.beginPath();
    pen.moveTo(plot.bbox.left, y);
    pen.lineTo(plot.bbox.left + plot.bbox.width, y);
    pen.stroke();
    pen.font = 12 * devicePixelRatio + "px system-ui, sans-serif";
    pen.textAlign = "left";
    pen.fillText(words, plot.bbox.left + 6 * devicePixelRatio, y + down * devicePixelRatio);
    pen.restore();
  };

  const upright = (plot, at, words, row) => {
    const x = Math.round(plot.valToPos(at, "x", true));
    if (x < plot.bbox.left || x > plot.bbox.left + plot.bbox.width) return;
    const pen = plot.ctx;
    pen.save();
    pen.strokeStyle = colour("edge");
    pen.fillStyle = colour("soft");
    pen.beginPath();
    pen.moveTo(x, plot.bbox.top);
    pen.lineTo(x, plot.bbox.top + plot.bbox.height);
    pen.stroke();
    pen.font = 12 * devicePixelRatio + "px system-ui, sans-serif";
    pen.textAlign = "left";
    pen.fillText(words, x + 4 * devicePixelRatio, plot.bbox.top + (plot.bbox.height - (8 + 14 * (row % 3)) * devicePixelRatio));
    pen.restore();
  };

  const axes = (withPower) => {
    const look = { stroke: colour("soft"), grid: { stroke: colour("grid"), width: 1 }, ticks: { stroke: colour("grid") } };
    const all = [{ ...look, values: (plot, at) => at.map((s) => Math.floor(s / 60) + ":" + String(Math.round(s % 60)).padStart(2, "0")), incrs: [30, 60, 120, 300, 600] }, { ...look, scale: "°C", size: 46 }];
    if (withPower) all.push({ ...look, scale: "%", side: 1, size: 40, splits: () => [0, 100], values: () => ["0 %", "100"], grid: { show: false } });
    return all;
  };

  const draw = (room, options, data) => {
    room.textContent = "";
    const plot = new uPlot({ width: room.clientWidth, height: height(), scales: { x: { time: false }, "%": { range: [0, 400] } }, cursor: { points: { size: 6 } }, legend: { live: false, markers: { dash: (p, at) => ((p.series[at].dash || []).length ? "dashed" : "solid") } }, ...options }, data, room);
    return plot;
  };

  const line = (label, name, width, dash, more) => ({ label, scale: "°C", stroke: colour(name), width, dash, spanGaps: true, points: { show: false }, value: degrees, ...more });

  const PLAN = [[], [], []];
  let points = [];
  let plot = null;

  const runData = () => {
    const plan = (state.preview && state.preview.plan) || PLAN;
    const columns = [[], [], [], [], [], []];
    points.forEach((row) => [0, 2, 3, 4, 5, 6].forEach((from, to) => columns[to].push(row[from])));
    return uPlot.join([plan, columns]);
  };

  const runChart = () => {
    const told = state.preview || {};
    const series = [
      { label: say.time, value: number("s", 0) },
      line(say.target, "target", 1.4, [6, 5]),
      line(say.planned, "board", 1.4, [2, 4]),
      line(say.sensor, "sensor", 1.8, [12, 3, 2, 3]),
      line(say.board, "board", 2.8, []),
      line("", "board", 0, [], { class: "unseen" }),
      line("", "board", 0, [], { class: "unseen" }),
      { label: say.power, scale: "%", stroke: colour("power"), width: 1, fill: colour("power") + "33", spanGaps: true, points: { show: false }, value: number("%", 0) },
    ];
    const over = (p) => {
      (told.stages || []).forEach((stage, at) => upright(p, stage[0], stage[1], at));
      level(p, told.liquidus_c, say.melts, [8, 4]);
      level(p, told.ceiling_c, say.ceiling, [2, 3]);
    };
    plot = draw(el("chart"), { axes: axes(true), series, bands: [{ series: [6, 5], fill: colour("board") + "33" }], hooks: { draw: [over] } }, runData());
  };

  const afterChart = () => {
    const curves = JSON.parse(el("curves").textContent);
    const names = ["target", "sensor", "board"];
    const series = curves.lines.map((one) => {
      const name = one.scale === "%" ? "power" : names.find((n) => one.label.startsWith(n)) || "board";
      return { label: one.label, scale: one.scale, stroke: colour(name), width: one.width, dash: one.dash, points: { show: false }, value: one.scale === "%" ? number("%", 0) : number("°C", 1), fill: one.scale === "%" ? colour("power") + "33" : undefined };
    });
    const over = (p) => {
      curves.marks.forEach((mark, at) => upright(p, mark.time_s, mark.text, at));
      level(p, curves.liquidus_c, curves.liquidus_text, [8, 4]);
    };
    return draw(el("after"), { axes: axes(true), series: [{ label: say.time, value: number("s", 0) }, ...series], hooks: { draw: [over] } }, curves.columns);
  };

  const overlayChart = () => {
    const laid = JSON.parse(el("overlaid").textContent);
    const tables = laid.map((one) => [one.points.map((p) => p[0]), one.points.map((p) => p[1])]);
    const looks = [["board", []], ["sensor", [12, 3]], ["good", [4, 4]], ["power", [12, 3, 2, 3]], ["target", [2, 3]], ["bad", [8, 2]]];
    const inPercent = (one) => (one.scale === "%" ? { scale: "%", value: number("%", 0) } : {});
    const series = laid.map((one, at) => line(one.name, looks[at % 6][0], 2, looks[at % 6][1], inPercent(one)));
    return draw(el("overlay"), { axes: axes(laid.some((one) => one.scale)), series: [{ label: say.time, value: number("s", 0) }, ...series] }, uPlot.join(tables));
  };

  const drawAll = () => {
    if (el("chart")) runChart();
    if (el("after")) plot = afterChart();
    if (el("overlay")) plot = overlayChart();
  };
  addEventListener("resize", () => {
    const room = el("chart") || el("after") || el("overlay");
    if (plot && room) plot.setSize({ width: room.clientWidth, height: height() });
  });
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", drawAll);

  // --- news ---------------------------------------------------------------------------------

  let lastNews = performance.now();
  let lastNow = performance.now();
  let isOpen = true;
  let cue = "";
  const title = document.title;

  const text = (id, words) => {
    const at = el(id);
    if (at && at.textContent !== words) at.textContent = words;
  };

  const showMarks = (now) => {
    document.querySelectorAll("[data-marks]").forEach((form) => {
      const before = Number(form.dataset.marks);
      form.querySelector("button").disabled = !takesMarks() || now.marks.length !== before;
      form.querySelector(".at").textContent = now.marks[before] || "";
    });
    document.querySelectorAll("[data-marked]").forEach((form) => (form.hidden = !takesMarks() || !now.marks.length));
  };

  const showNow = (now) => {
    Object.entries(now.texts).forEach(([key, words]) => text("t-" + key, words));
    text("mini", told.phases.running + ": " + now.short);
    document.querySelectorAll("[data-note]").forEach((form) => (form.hidden = form.dataset.note !== now.note));
    showMarks(now);
    if (now.cue !== cue) {
      cue = now.cue;
      if (el("cue")) {
        el("cue").hidden = !cue;
        el("cue").textContent = cue;
      }
      document.title = cue ? "● " + (now.door ? say.door_title : cue) : title;
      if (cue) beep(now.door ? 5 : 2);
    }
  };

  const showRest = (rest) => {
    if (!el("rest")) return;
    el("rest").hidden = false;
    ["number", "kind", "words", "said"].forEach((key) => text("r-" + key, rest[key]));
    el("rest").classList.toggle("stale", rest.old);
    text("r-trip", say.tripped.replace("{trip}", rest.trip));
    if (el("tripped").hidden === Boolean(rest.trip)) {
      el("tripped").hidden = !rest.trip;
      if (!rest.trip) text("r-words", rest.words + " " + say.cleared);
    }
  };

  const showEvents = (events) => {
    if (!el("events")) return;
    el("events").replaceChildren(
      ...events.map((one) => {
        const item = document.createElement("li");
        item.textContent = Math.round(one.t) + " s · " + one.text;
        return item;
      })
    );
  };

  // One redraw a tenth of a second, whatever comes in.
  let due = false;
  const redraw = () => {
    if (due || !plot || !el("chart")) return;
    due = true;
    setTimeout(() => {
      due = false;
      plot.setData(runData());
    }, 100);
  };

  // whether this page shows what is under way, or showed it when it was opened
  const isMine = () => [told.state.home, state.home].includes(location.pathname);

  const hear = (news) => {
    lastNews = performance.now();
    if (news.points) points = news.points.slice();
    if (news.fresh) points.push(...news.fresh);
    const { points: whole, fresh, ...rest } = news;
    state = { ...state, ...rest };
    if (isMine() && ((news.phase && news.phase !== phase) || (news.armed !== undefined && news.armed !== told.state.armed))) {
      location.replace(location.pathname);
      return;
    }
    if (news.phase && news.phase !== "running") text("mini", told.phases[news.phase]);
    if (news.now || news.coach) lastNow = performance.now();
    if (news.now && state.phase === "running") showNow(news.now);
    if (news.asks && el("asks")) {
      el("asks").hidden = false;
      el("asks").textContent = news.asks;
    }
    if (news.judging && state.phase === "running") {
      text("mini", say.judging);
      if (state.now) showMarks(state.now);
      if (el("judging")) el("judging").hidden = false;
    }
    if (news.rest) showRest(news.rest);
    if (news.events) showEvents(news.events);
    // what only some pages show, their own scripts take from here
    document.dispatchEvent(new CustomEvent("news", { detail: news }));
    if (news.spoken) text("spoken", news.spoken);
    if (news.speed && el("speed") && document.activeElement !== el("speed")) el("speed").value = news.speed;
    if (news.points || fresh) redraw();
  };

  const old = () => {
    if (state.judging && state.phase === "running") return "";
    const linkMs = performance.now() - (state.phase === "running" ? Math.max(lastNow, 0) : lastNews);
    const now = state.phase === "running" && state.now;
    if (!isOpen && linkMs > OLD_MS) return say.gone;
    if (linkMs > OLD_MS) return say.old_link.replace("{seconds}", Math.round(linkMs / 1000));
    if (now && !now.sound) return say.no_reading;
    if (now && now.age_ms > OLD_MS) return say.old_reading.replace("{seconds}", Math.round(now.age_ms / 1000));
    return "";
  };
  setInterval(() => {
    const words = old();
    el("stale").hidden = !words;
    text("stale", words);
    document.body.classList.toggle("stale", Boolean(words));
  }, 250);

  const connect = () => {
    const socket = new WebSocket("ws://" + location.host + "/live");
    socket.onopen = () => (isOpen = true);
    socket.onmessage = (event) => hear(JSON.parse(event.data));
    socket.onclose = () => {
      isOpen = false;
      setTimeout(connect, 1000);
    };
  };

  // for the scripts of single pages
  window.heatwright = { beep, draw, line, axes, level, number };

  // --- a screen that goes dark shows nothing: asked for where the browser grants it -------------

  const stayAwake = () => {
    if (state.phase === "running" && document.visibilityState === "visible" && navigator.wakeLock)
      navigator.wakeLock.request("screen").catch(() => {});
  };
  addEventListener("visibilitychange", stayAwake);
  stayAwake();

  points = (state.points || []).slice();
  drawAll();
  if (state.now && state.phase === "running") showNow(state.now);
  connect();
})();
