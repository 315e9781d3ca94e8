// Opens a sealed page. The key stands behind the # of the address, which no browser sends; files are fetched from beside this
// page alone, and nothing of one is used before AES-GCM has found it whole. The format is told in src/seal/file.rs.
(() => {
  const bytes = (text) => new TextEncoder().encode(text);
  const SYMBOLS = "0123456789abcdefghjkmnpqrstvwxyz";
  const says = (when) => document.querySelector("[data-when=" + when + "]");
  const say = (when) => {
    for (const one of document.querySelectorAll("[data-when]")) one.hidden = one.dataset.when !== when;
  };
  const fail = (when) => Object.assign(new Error(when), { when });

  // As it is read aloud or typed: capitals, gaps, and letters that look like digits.
  const typed = location.hash.slice(1).replace(/%[0-9a-f]{2}/gi, "");
  const key = typed.toLowerCase().replace(/o/g, "0").replace(/[il]/g, "1").replace(/[^0-9a-z]/g, "");
  addEventListener("hashchange", () => location.reload());

  if (!window.crypto || !crypto.subtle || !window.DOMParser || !window.IntersectionObserver) return say("old");
  if (!key) return say("no-key");
  say("opening");
  const own = crypto.subtle.importKey("raw", bytes(key), "HKDF", false, ["deriveBits"]);

  const derived = async (salt, info, length) => new Uint8Array(await crypto.subtle.deriveBits(
    { name: "HKDF", hash: "SHA-256", salt, info: bytes(info) }, await own, 8 * length));

  const name = async (role) => {
    const all = await derived(new Uint8Array(), "name/" + role, 32);
    let bits = 0, held = 0, out = "";
    for (const byte of all) {
      bits = (bits << 8) | byte;
      for (held += 8; held >= 5; held -= 5) out += SYMBOLS[(bits >> (held - 5)) & 31];
      bits &= 31;
    }
    return out.slice(0, 26) + ".bin";
  };

  const fetched = async (role, cache) => {
    const asked = { cache, credentials: "omit", referrerPolicy: "no-referrer" };
    const answer = await fetch(await name(role), asked).catch(() => { throw fail("not-there"); });
    if (answer.status === 404 || answer.status === 403 || answer.status === 410) throw fail("wrong-key");
    if (!answer.ok) throw fail("not-there");
    return new Uint8Array(await answer.arrayBuffer().catch(() => { throw fail("damaged"); }));
  };

  const opened = async (role, cache) => {
    const file = await fetched(role, cache);
    const drawn = await derived(file.slice(8, 40), "file/" + role, 44);
    const lock = await crypto.subtle.importKey("raw", drawn.slice(0, 32), "AES-GCM", false, ["decrypt"]);
    const how = { name: "AES-GCM", iv: drawn.slice(32), additionalData: bytes("bl-seal1") };
    const text = await crypto.subtle.decrypt(how, lock, file.slice(40)).catch(() => { throw fail("damaged"); });
    return new Uint8Array(text, 8, Number(new DataView(text).getBigUint64(0)));
  };

  const KINDS = { jpg: "image/jpeg", ics: "text/calendar", atom: "application/atom+xml" };
  const kept = new Map();
  // The file as an address of this browser's own; each is opened once.
  const local = (role) => {
    if (!kept.has(role)) {
      const type = KINDS[role.split(".").pop()] || "application/octet-stream";
      const made = opened(role, "default").then((content) => URL.createObjectURL(new Blob([content], { type })));
      made.catch(() => kept.delete(role));
      kept.set(role, made);
    }
    return kept.get(role);
  };

  // A file of this folder: a bare name.
  const isOwn = (href) => /^[0-9a-z-]+\.[a-z]+$/.test(href || "") && href !== "index.html";

  // Which of its sizes a picture needs where it stands.
  const fitting = (picture) => {
    const sizes = picture.dataset.sizes.split(",").map((one) => one.trim().split(" "));
    const wide = sizes.map(([role, width]) => ({ role, width: parseInt(width) })).sort((a, b) => a.width - b.width);
    const box = picture.getBoundingClientRect(), ratio = picture.getAttribute("width") / picture.getAttribute("height");
    const shown = getComputedStyle(picture).objectFit === "cover" ? Math.max(box.width, box.height * ratio) : box.width;
    const needed = shown * Math.min(devicePixelRatio || 1, 3);
    return (wide.find((one) => one.width >= needed) || wide[wide.length - 1]).role;
  };

  const show = async (picture) => {
    try {
      const role = fitting(picture);
      picture.src = await local(role).catch(async (error) => {
        if (error.when === "damaged") throw error;
        // The page may have come a moment before its photos, while the site is being put up.
        await new Promise((later) => setTimeout(later, 3000));
        return local(role);
      });
    } catch {
      const told = document.createElement("p");
      told.textContent = missing;
      picture.closest("a, figure").after(told);
    }
  };

  // Before it is in the document nothing of it is loaded: pictures wait, and links to files of the folder are marked.
  const prepare = (page) => {
    for (const picture of page.querySelectorAll("img")) {
      if (!isOwn(picture.getAttribute("src"))) continue;
      const [width, height] = [picture.getAttribute("width"), picture.getAttribute("height")];
      picture.dataset.sizes = picture.getAttribute("srcset") || picture.getAttribute("src") + " 1w";
      for (const attribute of ["srcset", "sizes", "loading"]) picture.removeAttribute(attribute);
      picture.src = "data:image/svg+xml," + encodeURIComponent(
        `<svg xmlns="http://www.w3.org/2000/svg" width="${parseInt(width)}" height="${parseInt(height)}"/>`);
    }
  };

  // Links within the page must not take the key out of the address.
  const within = (event, link) => {
    const target = document.getElementById(link.getAttribute("href").slice(1));
    event.preventDefault();
    if (!target) return;
    target.scrollIntoView();
    target.tabIndex = -1;
    target.focus({ preventScroll: true });
  };

  const clicked = async (event) => {
    const link = event.target.closest && event.target.closest("a[href]");
    const href = link && link.getAttribute("href");
    if (href && href.startsWith("#")) return within(event, link);
    if (!isOwn(href)) return;
    event.preventDefault();
    try {
      const address = await local(href);
      if (/\.jpg$/.test(href)) return location.assign(address);
      const saved = Object.assign(document.createElement("a"), { href: address, download: href });
      saved.click();
    } catch {
      const told = document.createElement("p");
      told.textContent = missing;
      link.after(told);
    }
  };

  const missing = says("photo").textContent;
  const open = async () => {
    const text = new TextDecoder().decode(await opened("index.html", "no-cache"));
    const page = new DOMParser().parseFromString(text, "text/html");
    prepare(page);
    document.title = page.title;
    document.documentElement.lang = page.documentElement.lang;
    document.body.replaceChildren(...page.body.childNodes);
    document.addEventListener("click", clicked);
    const near = new IntersectionObserver((seen) => {
      for (const one of seen) {
        if (!one.isIntersecting) continue;
        near.unobserve(one.target);
        show(one.target);
      }
    }, { rootMargin: "600px" });
    document.querySelectorAll("img[data-sizes]").forEach((picture) => near.observe(picture));
  };
  open().catch((error) => say(error.when || "damaged"));
})();
