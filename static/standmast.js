// Helps where the signal is poor: typed text stays on this device until the server has answered.
// Every page works without this script. Passwords and files are never kept.
"use strict";
(() => {
  const person = document.body.dataset.person;
  const device = matchMedia("(pointer: coarse)").matches ? "phone" : "computer";
  const PREFIX = "standmast:draft:";
  const SENT = "standmast:sent";
  const KEEP_MS = 14 * 24 * 3600 * 1000;

  // Storage may be full or forbidden; then nothing is kept and nothing is said.
  const attempt = (work) => { try { return work(); } catch { return null; } };
  const read = (key) => attempt(() => JSON.parse(localStorage.getItem(key)));
  const forget = (key) => attempt(() => localStorage.removeItem(key));

  const hidden = (form, name) => form.querySelector(`input[type="hidden"][name="${name}"]`);
  const unkept = ["hidden", "password", "file", "submit", "button", "reset"];
  const answers = (form) => [...form.elements].filter((one) => one.name && !unkept.includes(one.type));
  const boxed = (one) => one.type === "checkbox" || one.type === "radio";

  // One person's text for one form: fixed hidden values tell forms with the same address apart, and a
  // record's version among them keeps old text out of a newer record.
  const keyOf = (form) => {
    const path = new URL(form.getAttribute("action") || "", location.href).pathname;
    const fixed = [...form.querySelectorAll('input[type="hidden"]')]
      .filter((one) => one.name !== "act" && one.name !== "device_at")
      .map((one) => `${one.name}=${one.value}`);
    return PREFIX + [person, path, ...fixed].join("|");
  };

  const say = (form, place, words) => {
    let line = form.querySelector(`:scope > .kept.${place}`);
    if (!line) {
      line = document.createElement("p");
      line.className = `kept ${place}`;
      line.setAttribute("role", "status");
      if (place === "back") form.prepend(line); else form.append(line);
    }
    line.textContent = words;
    return line;
  };

  const save = (form, extra) => {
    const key = keyOf(form);
    const values = answers(form)
      .filter((one) => one.type !== "radio" || one.checked)
      .map((one) => [one.name, one.value, boxed(one) ? one.checked : null]);
    return attempt(() => { localStorage.setItem(key, JSON.stringify({ at: Date.now(), values, ...extra })); return true; });
  };

  const restore = (form) => {
    const draft = read(keyOf(form));
    if (!draft || !Array.isArray(draft.values)) return;
    let differs = false;
    for (const [name, value, checked] of draft.values) {
      const one = answers(form).find((each) => each.name === name && (checked === null || each.value === value));
      if (!one) continue;
      if (checked === null ? one.value !== value : one.checked !== checked) {
        differs = true;
        if (checked === null) one.value = value; else one.checked = checked;
      }
    }
    // Sent once without an answer: the same act again, so that it is not recorded twice.
    const act = hidden(form, "act");
    const fresh = act && act.value;
    const clock = hidden(form, "device_at");
    const unanswered = draft.act && act && !form.querySelector('[role="alert"]');
    if (unanswered) {
      act.value = draft.act;
      if (clock) clock.value = draft.device_at || "";
    }
    if (!differs) return;
    const when = new Date(draft.at).toLocaleString("en-GB", { day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" });
    const line = say(form, "back", unanswered ? `Sent ${when}, no answer came back. It can be sent again and counts once. ` : `Typed ${when}, not sent yet. `);
    const clear = document.createElement("button");
    clear.type = "button";
    clear.className = "plain";
    clear.textContent = "Clear it";
    clear.addEventListener("click", () => {
      forget(keyOf(form));
      form.reset();
      if (act) act.value = fresh;
      if (clock) clock.value = "";
      line.remove();
    });
    line.append(clear);
  };

  // A computer without a network still reaches a server of its own: ask before saying "no signal".
  const reachable = () => {
    const sheet = document.querySelector('link[rel="stylesheet"]');
    return fetch(sheet.href, { method: "HEAD", cache: "no-store" }).then(() => true, () => false);
  };
  const banner = document.createElement("p");
  banner.className = "no-signal";
  banner.setAttribute("role", "status");
  document.body.append(banner);
  const noSignal = (yes) => { banner.textContent = yes ? `No signal: kept on this ${device}. Send it when there is signal.` : ""; };
  const look = () => navigator.onLine ? noSignal(false) : reachable().then((there) => noSignal(!there));

  const depart = (form) => {
    const clock = hidden(form, "device_at");
    if (clock && !clock.value) clock.value = `${new Date().toISOString().slice(0, 19)}Z`;
    const act = hidden(form, "act");
    if (!person || !act) return;
    save(form, { act: act.value, device_at: clock ? clock.value : "" });
    attempt(() => sessionStorage.setItem(SENT, keyOf(form)));
  };

  const watch = (form) => {
    let asked = false;
    form.addEventListener("input", () => {
      const clock = hidden(form, "device_at");
      if (clock) clock.value = "";
      if (person && save(form)) say(form, "here", `Kept on this ${device} until it is sent.`);
    });
    form.addEventListener("submit", (event) => {
      if (navigator.onLine || asked) { asked = false; depart(form); return; }
      event.preventDefault();
      const pressed = event.submitter;
      reachable().then((there) => {
        noSignal(!there);
        asked = there;
        if (there) form.requestSubmit(pressed);
      });
    });
  };

  // The server answers a success, and only a success, by sending the browser on to another page.
  // A page that asks who sends the form stands between: the answer is still to come.
  const carried = document.querySelector("form[data-carries]");
  const sent = carried ? null : attempt(() => sessionStorage.getItem(SENT));
  if (!carried) attempt(() => sessionStorage.removeItem(SENT));
  const [arrival] = performance.getEntriesByType("navigation");
  if (sent && person && arrival && arrival.redirectCount > 0) forget(sent);
  // Refused: nothing was recorded under that act's number, so the text is kept without it.
  if (sent && arrival && arrival.responseStatus >= 400 && arrival.responseStatus < 500) attempt(() => {
    const draft = read(sent);
    localStorage.setItem(sent, JSON.stringify({ at: draft.at, values: draft.values }));
  });
  attempt(() => Object.keys(localStorage).filter((key) => key.startsWith(PREFIX)).forEach((key) => {
    const draft = read(key);
    if (!draft || !(Date.now() - draft.at < KEEP_MS)) forget(key);
  }));

  for (const form of document.querySelectorAll('form[method="post"]:not([data-keep="no"])')) {
    if (person) restore(form);
    watch(form);
  }
  addEventListener("online", look);
  addEventListener("offline", look);
  look();
})();
