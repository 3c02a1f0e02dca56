// Keeps what was ticked and written on this device. Where the browser keeps nothing, the page works as it is.
"use strict";
(() => {
  let store = null;
  try { store = window.localStorage; } catch { return; }
  const system = document.body.dataset.system;
  const name = (field) => `rigline-notes-${system}-${field.dataset.key}`;
  for (const field of document.querySelectorAll("[data-key]")) {
    const box = field.type === "checkbox";
    try {
      const kept = store.getItem(name(field));
      if (kept !== null) { if (box) { field.checked = true; } else { field.value = kept; } }
    } catch { return; }
    field.addEventListener(box ? "change" : "input", () => {
      const value = box ? (field.checked ? "1" : "") : field.value;
      try { if (value) { store.setItem(name(field), value); } else { store.removeItem(name(field)); } } catch { /* Full or forbidden: nothing is kept. */ }
    });
  }
})();
