"use strict";
(() => {
  const told = JSON.parse(document.getElementById("curves").textContent);
  const room = document.getElementById("chart");
  const live = document.getElementById("live");

  const number = (unit, digits) => (plot, value) =>
    value == null ? "–" : value.toFixed(digits) + " " + unit;

  const series = told.lines.map((line) => ({
    label: line.label,
    scale: line.scale,
    stroke: line.colour,
    width: line.width,
    dash: line.dash,
    fill: line.scale === "%" ? line.colour + "33" : undefined,
    value: line.scale === "%" ? number("%", 0) : number("°C", 1),
  }));

  // A thin line and a word for each event that a person cares about.
  const marks = (plot) => {
    const pen = plot.ctx;
    pen.save();
    pen.font = 11 * devicePixelRatio + "px system-ui, sans-serif";
    pen.textAlign = "right";
    told.marks.forEach((mark, at) => {
      const x = Math.round(plot.valToPos(mark.time_s, "x", true));
      if (x < plot.bbox.left || x > plot.bbox.left + plot.bbox.width) return;
      pen.strokeStyle = pen.fillStyle = mark.colour;
      pen.beginPath();
      pen.moveTo(x, plot.bbox.top);
      pen.lineTo(x, plot.bbox.top + plot.bbox.height);
      pen.stroke();
      const line = (1 + (at % 3)) * 14 * devicePixelRatio;
      pen.fillText(mark.text, x - 4, plot.bbox.top + line);
    });
    pen.restore();
  };

  const level = (plot) => {
    const y = Math.round(plot.valToPos(told.liquidus_c, "°C", true));
    const pen = plot.ctx;
    pen.save();
    pen.strokeStyle = "#6b6b6b";
    pen.setLineDash([8, 4]);
    pen.beginPath();
    pen.moveTo(plot.bbox.left, y);
    pen.lineTo(plot.bbox.left + plot.bbox.width, y);
    pen.stroke();
    pen.fillStyle = "#6b6b6b";
    pen.font = 11 * devicePixelRatio + "px system-ui, sans-serif";
    pen.fillText(told.liquidus_text, plot.bbox.left + 6, y - 5);
    pen.restore();
  };

  const size = () => ({ width: room.clientWidth, height: 420 });
  live.hidden = false;
  const plot = new uPlot(
    {
      ...size(),
      scales: { x: { time: false }, "°C": {}, "%": { range: [0, 400] } },
      axes: [
        { label: "Time, s" },
        { scale: "°C", label: "Temperature, °C" },
        { scale: "%", side: 1, label: "Power, %", values: () => ["0", "100"], splits: () => [0, 100], grid: { show: false } },
      ],
      series: [{ label: "Time", value: number("s", 1) }, ...series],
      hooks: { draw: [level, marks] },
    },
    told.columns,
    room
  );
  addEventListener("resize", () => plot.setSize(size()));
  // On paper everything is open.
  addEventListener("beforeprint", () =>
    document.querySelectorAll("main details").forEach((one) => (one.open = true))
  );
})();
