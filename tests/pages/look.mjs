// Looks at the pages in a real browser; called by tests/pages/browser.rs, which says what to look at and
// judges what is told here. One browser, many pages. Asks in JSON on the standard input, tells in JSON.
//
// Checks after WCAG 2.2: 1.4.10 (reflow), 1.4.4 (text at 200 %), 2.1.1 and 2.4.7 (keyboard, visible focus),
// 2.4.11 (focus not hidden); axe-core's own rules for the rest.
import { createRequire } from "node:module";
import { readFileSync, writeFileSync, mkdirSync } from "node:fs";
const asked = JSON.parse(readFileSync(0, "utf8"));
const require = createRequire(asked.npm + "/");
const puppeteer = require("puppeteer-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

const browser = await puppeteer.launch({
  executablePath: asked.chromium,
  headless: true,
  protocolTimeout: 60000,
  args: ["--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--force-color-profile=srgb", "--font-render-hinting=none",
    "--disable-lcd-text", "--disable-background-networking", "--disable-sync", "--disable-component-update"],
});

const told = {};

async function fresh(width, height, media = {}) {
  const page = await browser.newPage();
  page.asked = [];
  page.complaints = [];
  page.on("request", (request) => page.asked.push(request.url()));
  page.on("console", (message) => page.complaints.push(message.text()));
  await page.setViewport({ width, height, deviceScaleFactor: 1 });
  page.cdp = await page.createCDPSession();
  const features = Object.entries({ "prefers-reduced-motion": "reduce", ...media })
    .map(([name, value]) => ({ name, value }));
  await page.cdp.send("Emulation.setEmulatedMedia", { features });
  return page;
}

const go = async (page, path) => {
  await page.goto(asked.base + path, { waitUntil: "load", timeout: 60000 });
  // What a page's own script has yet to put there.
  if (asked.wait) await page.waitForSelector(asked.wait, { timeout: 60000 });
};

/** Everything lazy is loaded, then back to the top. */
const walked = (page) => page.evaluate(async () => {
  for (let y = 0; y < document.documentElement.scrollHeight; y += 400) {
    window.scrollTo(0, y);
    await new Promise((done) => setTimeout(done, 15));
  }
  // What lies beside in a row that is swiped is not loaded yet, and is not waited for.
  await Promise.all([...document.images].filter((i) => i.complete).map((i) => i.decode().catch(() => {})));
  window.scrollTo(0, 0);
});

async function violations(page, only) {
  await page.evaluate(axe);
  return page.evaluate(async (only) => {
    const how = only ? { runOnly: only } : {};
    const result = await axe.run(document, { resultTypes: ["violations"], ...how });
    return result.violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 120) + " " + (n.any[0]?.message ?? "")).slice(0, 3).join(" | ")}`);
  }, only);
}

const sideways = (page) => page.evaluate(() => {
  const wide = document.scrollingElement.scrollWidth - window.innerWidth;
  if (wide <= 0) return [];
  const inside = (e) => e.parentElement.closest(".columns, .slides, .way, .wide");
  const out = [...document.body.querySelectorAll("*")].filter((e) => e.getBoundingClientRect().right > window.innerWidth + 1 && !inside(e));
  return [`${wide} px too wide`, ...out.slice(0, 3).map((e) => e.outerHTML.slice(0, 100))];
});

/** What the next page of the site hears of the one it was reached from, whose address may be private. */
async function followed(page) {
  const link = await page.evaluateHandle(() => [...document.querySelectorAll("a[href]")]
    .find((a) => a.host === location.host && a.pathname !== location.pathname && /(html|\/)$/.test(a.pathname)));
  if (!link.asElement()) return [];
  await Promise.all([page.waitForNavigation({ timeout: 60000 }), link.evaluate((a) => a.click())]);
  const heard = await page.evaluate(() => document.referrer);
  return heard ? [heard] : [];
}

const put = (kind, name, list) => { (told[kind] ??= {})[name] = list; };

for (const { name, path } of asked.pages) {
  // Phone and desktop, light and dark.
  for (const [size, width, height] of [["phone", 360, 740], ["desktop", 1440, 900]]) {
    const page = await fresh(width, height, { "prefers-color-scheme": "light" });
    await page.evaluateOnNewDocument(() => {
      window.shift = 0;
      new PerformanceObserver((list) => list.getEntries().forEach((e) => { window.shift += e.value; }))
        .observe({ type: "layout-shift", buffered: true });
    });
    await go(page, path);
    put("first", `${name} ${size}`, page.asked.filter((url) => url.endsWith(".jpg")));
    await walked(page);
    put("shift", `${name} ${size}`, await page.evaluate(() => window.shift > 0 ? [String(window.shift)] : []));
    put("axe", `${name} ${size} light`, await violations(page));
    put("elsewhere", `${name} ${size}`, page.asked.filter((url) => !url.startsWith(asked.base) && !url.startsWith("data:") && !url.startsWith("blob:" + asked.base)));
    put("complaints", `${name} ${size}`, page.complaints);
    await page.cdp.send("Emulation.setEmulatedMedia", { features: [{ name: "prefers-color-scheme", value: "dark" }] });
    put("axe", `${name} ${size} dark`, await violations(page, size === "phone" ? undefined : ["color-contrast"]));
    if (size === "phone") {
      // Where a tag is read from the right, its names stand to the right of what they name.
      put("sides", name, await page.evaluate(() => {
        const rtl = document.documentElement.dir === "rtl";
        return [...document.querySelectorAll(".tag dl div")].filter((d) => {
          const [term, fact] = [...d.children].map((e) => e.getBoundingClientRect().left);
          return rtl ? term < fact : term > fact;
        }).map((d) => d.textContent);
      }));
      put("labels", name, await page.evaluate(() => [...document.querySelectorAll(".way g")].flatMap((tag) => {
        const box = tag.querySelector("path").getBBox();
        return [...tag.querySelectorAll("text")].filter((text) => {
          const own = text.getBBox();
          return own.x < box.x + 1 || own.x + own.width > box.x + box.width - 1 || own.y < box.y || own.y + own.height > box.y + box.height;
        }).map((text) => text.textContent);
      })));
      put("referrer", name, await followed(page));
    }
    await page.close();
  }

  // 400 % and 200 % of a window that is 1,280 px wide, then letters twice as large in a narrow one.
  const page = await fresh(320, 256);
  await go(page, path);
  put("reflow", `${name} at 400 %`, await sideways(page));
  await page.setViewport({ width: 640, height: 512, deviceScaleFactor: 1 });
  put("reflow", `${name} at 200 %`, await sideways(page));
  await page.evaluate(() => { document.documentElement.style.fontSize = "225%"; });
  put("reflow", `${name} with letters at 200 %`, await sideways(page));
  await page.evaluate(() => { document.documentElement.style.fontSize = ""; });

  // The keyboard reaches everything in order, and one sees where it is.
  await page.setViewport({ width: 820, height: 900, deviceScaleFactor: 1 });
  if (asked.wait) {
    // Photos that a script puts there change what elements are known by.
    await walked(page);
    await new Promise((done) => setTimeout(done, 1000));
  }
  const wanted = await page.evaluate(() => [...document.querySelectorAll("a[href], input, summary, [tabindex='0']")]
    .filter((e) => e.checkVisibility()).map((e) => e.outerHTML.slice(0, 90)));
  const met = [];
  const hidden = [];
  for (let step = 0; step < wanted.length; step += 1) {
    await page.keyboard.press("Tab");
    const at = await page.evaluate(() => {
      const e = document.activeElement;
      const box = e.getBoundingClientRect();
      const style = getComputedStyle(e);
      const seen = box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth;
      const ringed = style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
      return { html: e.outerHTML.slice(0, 90), seen, ringed };
    });
    met.push(at.html);
    if (!at.seen || !at.ringed) hidden.push(`${at.seen ? "no ring" : "out of sight"}: ${at.html}`);
  }
  put("keyboard", name, [...wanted.filter((html) => !met.includes(html)).map((html) => `not reached: ${html}`), ...hidden]);

  // Motion that was not asked for.
  put("motion", name, await page.evaluate(() => [...document.querySelectorAll("*")].filter((e) => {
    const style = getComputedStyle(e);
    return style.animationName !== "none" || parseFloat(style.transitionDuration) > 0 || style.scrollBehavior !== "auto";
  }).map((e) => e.outerHTML.slice(0, 90))));

  // The owner of the machine chooses the colors.
  await page.cdp.send("Emulation.setEmulatedMedia", { features: [{ name: "forced-colors", value: "active" }] });
  put("forced", name, [...await violations(page, ["color-contrast"]), ...await page.evaluate(() => {
    const same = [...document.querySelectorAll(".way g, .line")].flatMap((g) => {
      const ground = getComputedStyle(g.querySelector("path, rect")).fill;
      return [...g.querySelectorAll("text")].filter((t) => getComputedStyle(t).fill === ground).map((t) => t.textContent);
    });
    const tag = document.querySelector(".tag");
    return tag && getComputedStyle(tag).clipPath !== "none" ? [...same, "the tag is cut"] : same;
  })]);
  await page.close();

  // Without style sheet and pictures: every word is there and can be read from top to bottom.
  const bare = await fresh(360, 740);
  await bare.setRequestInterception(true);
  bare.on("request", (request) => (["stylesheet", "image"].includes(request.resourceType()) && !request.url().startsWith("data:")
    ? request.abort() : request.continue()));
  await go(bare, path);
  put("bare", name, await bare.evaluate(() => {
    const unseen = [...document.querySelectorAll("h1, h2, h3, p, li, dt, dd, th, td")]
      .filter((e) => e.textContent.trim() && (!e.checkVisibility() || e.getBoundingClientRect().height === 0));
    const mute = [...document.images].filter((i) => !i.hasAttribute("alt"));
    const nameless = [...document.querySelectorAll("a")].filter((a) => !a.textContent.trim() && !a.querySelector("img[alt]:not([alt=''])"));
    return [...unseen, ...mute, ...nameless].map((e) => e.outerHTML.slice(0, 90));
  }));
  await bare.close();
}

// Which typefaces the pages are drawn with.
{
  const page = await fresh(820, 900);
  await go(page, asked.pages[0].path);
  await page.cdp.send("DOM.enable");
  await page.cdp.send("CSS.enable");
  const { root } = await page.cdp.send("DOM.getDocument", {});
  told.fonts = [];
  for (const selector of ["h1", "p"]) {
    const { nodeId } = await page.cdp.send("DOM.querySelector", { nodeId: root.nodeId, selector: `main ${selector}` });
    const { fonts } = await page.cdp.send("CSS.getPlatformFontsForNode", { nodeId });
    told.fonts.push(...fonts.map((font) => font.familyName));
  }
  await page.close();
}

if (asked.shots) {
  mkdirSync(asked.shots, { recursive: true });
  for (const { name, path } of asked.shown) {
    for (const width of [360, 820, 1440]) {
      const page = await fresh(width, 900, { "prefers-color-scheme": "light" });
      await go(page, path);
      await walked(page);
      const high = Math.min(await page.evaluate(() => document.documentElement.scrollHeight), 5200);
      const bytes = await page.screenshot({ clip: { x: 0, y: 0, width, height: high, scale: 0.5 }, captureBeyondViewport: true });
      writeFileSync(`${asked.shots}/${name}-${width}.png`, bytes);
      await page.close();
    }
  }
}
// The README's picture: what a screen shows, from an element on.
for (const { name, path, width, from } of asked.portraits ?? []) {
  const page = await fresh(width, 820, { "prefers-color-scheme": "light" });
  await go(page, path);
  await walked(page);
  if (from) await page.evaluate((from) => document.querySelector(from).closest(".card").scrollIntoView(), from);
  writeFileSync(`${asked.shots}/${name}.png`, await page.screenshot());
  await page.close();
}
await browser.close();
console.log(JSON.stringify(told));
