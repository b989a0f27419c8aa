"use strict";
// What a guided run tells besides its numbers.
(() => {
  const el = (id) => document.getElementById(id);
  document.addEventListener("news", ({ detail: news }) => {
    if (news.hottest && el("hottest")) el("hottest").textContent = news.hottest;
    if (news.dot && el("dot")) el("dot").textContent = news.dot;
    if (news.said && el("said"))
      el("said").replaceChildren(
        ...news.said.map((line) => {
          const item = document.createElement("li");
          item.textContent = line;
          return item;
        })
      );
  });
})();
