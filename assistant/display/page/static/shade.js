// Day or dark as it was chosen on the glance page; without script the browser's own choice holds.
"use strict";
try {
  const shade = localStorage.getItem("shade");
  if (shade) document.documentElement.dataset.shade = shade;
} catch { /* a browser that keeps nothing */ }
