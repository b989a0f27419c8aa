"use strict";
// One sentence, large; a sound when it changes; the board's curve; readings typed without waiting.
(() => {
  const told = JSON.parse(document.getElementById("told").textContent);
  const { say, state } = told;
  const { beep, draw, line, axes, level, number } = window.heatwright;
  const el = (id) => document.getElementById(id);
  const text = (id, words) => el(id) && el(id).textContent !== words && (el(id).textContent = words);
  const window_ = state.preview || {};
  let points = (state.points || []).slice();
  let said = state.coach ? state.coach.said : 0;
  let asked = state.coach ? state.coach.asks : "";
  let plot = null;

  const columns = () => [0, 1, 2].map((column) => points.map((row) => row[column]));

  // where the highest temperature should come to lie
  const peak = (p, low, high) => {
    const [top, bottom] = [high, low].map((at) => p.valToPos(at, "°C", true));
    const pen = p.ctx;
    pen.save();
    pen.fillStyle = getComputedStyle(document.documentElement).getPropertyValue("--good").trim();
    pen.globalAlpha = 0.22;
    pen.fillRect(p.bbox.left, top, p.bbox.width, bottom - top);
    pen.globalAlpha = 1;
    pen.textAlign = "left";
    pen.textBaseline = "middle";
    pen.font = 12 * devicePixelRatio + "px system-ui, sans-serif";
    pen.fillText(say.peak_here, p.bbox.left + 6 * devicePixelRatio, (top + bottom) / 2);
    pen.restore();
  };

  const chart = () => {
    if (!el("coach-chart")) return;
    const over = (p) => {
      level(p, window_.liquidus_c, say.melts, [8, 4], 14);
      if (window_.peak_c) peak(p, ...window_.peak_c);
    };
    const top = window_.peak_c ? window_.peak_c[1] + 20 : 270;
    const scales = { x: { time: false, range: (p, low, high) => [0, Math.max(high || 0, 60)] }, "°C": { range: (p, low, high) => [0, Math.max(top, (high || 0) + 10)] } };
    const series = [{ label: say.time, value: number("s", 0) }, line(say.coach_board, "board", 2.8, []), line(say.coach_bead, "sensor", 1.8, [12, 3, 2, 3])];
    plot = draw(el("coach-chart"), { axes: axes(false), series, scales, hooks: { draw: [over] } }, columns());
  };

  let due = false;
  const redraw = () => {
    if (due || !plot) return;
    due = true;
    setTimeout(() => {
      due = false;
      plot.setData(columns());
    }, 200);
  };

  const show = (coach) => {
    text("sentence", coach.sentence || say.coach_listens);
    if (el("sentence")) el("sentence").classList.toggle("danger", coach.danger);
    text("c-at", coach.at);
    text("c-board", coach.board);
    text("c-bead", coach.bead);
    text("c-knob", coach.knob || "–");
    text("asks", coach.asks);
    if (el("unmark")) el("unmark").hidden = !coach.marks;
    if (coach.said > said) beep(coach.danger ? 3 : 1);
    if (coach.asks && coach.asks !== asked) beep(1);
    said = coach.said;
    asked = coach.asks;
  };

  document.addEventListener("news", ({ detail: news }) => {
    if (news.points) points = news.points.slice();
    if (news.fresh) points.push(...news.fresh);
    if (news.coach) show(news.coach);
    if (news.events && el("events")) el("events").scrollTop = el("events").scrollHeight;
    if (news.points || news.fresh) redraw();
  });

  if (el("typed"))
    el("typed").addEventListener("submit", async (event) => {
      event.preventDefault();
      const answer = await fetch("/coach/typed", { method: "POST", body: new URLSearchParams(new FormData(el("typed"))), redirect: "manual" }).catch(() => null);
      const isTaken = answer !== null && answer.status !== 422;
      text("reading-fault", isTaken ? "" : say.reading_form);
      if (isTaken) el("reading").value = "";
      el("reading").focus();
    });

  addEventListener("resize", () => plot && plot.setSize({ width: el("coach-chart").clientWidth, height: plot.height }));
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", chart);
  chart();
})();
