// Every view for everybody: axe-core (WCAG 2.2 AA) in dark, light, narrow and forced colours; keyboard;
// reflow from 320 to 1920 px; no motion where none is wanted; nothing asked for elsewhere; the headers of
// every answer; foreign names and posts refused; weight and speed.
const http = require('http');
const fs = require('fs');
const { Home, eveningSettings, signIn } = require('../harness.cjs');

const axe = fs.readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const MODES = [
  ['dark', { colorScheme: 'dark', reducedMotion: 'reduce' }],
  ['light', { colorScheme: 'light' }],
  ['narrow', { viewport: { width: 320, height: 640 } }],
  ['forced colours', { forcedColors: 'active' }],
];
const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];
const HEAVIEST = 150 * 1024;
/** The first view is there after so many milliseconds ... */
const FIRST_VIEW = 100;
/** ... or, where the browser is slow on this machine, after so many times what it needs for one small drawing. */
const TIMES_THE_BROWSER = 3;
/** The program's own part of it, from the request to the end of the answer, in a build without optimisation. */
const ANSWER = 60;

/** Views and what is done on them before they are judged. */
const VIEWS = require('../views.cjs');

module.exports = async ({ browser, program, t }) => {
  const home = new Home(program, { 'settings.toml': eveningSettings(6) });
  VIEWS.fill(home);
  VIEWS.furnish(home);
  await home.start();
  for (const [mode, options] of MODES) {
    const page = await signIn(browser, home, options);
    for (const view of VIEWS.list) {
      const { name, path, prepare } = view;
      const { complaints } = page.context();
      complaints.length = 0;
      const answer = await page.goto(home.base + path);
      headers(answer, name, t);
      if (prepare) await prepare(page);
      await judge(page, `${name}, ${mode}`, t);
      if (mode === 'dark') await still(page, name, t);
      // The browser itself notes that a page is not there: once, and only where none should be.
      const expected = view.missing ? complaints.findIndex((line) => /404/.test(line)) : -1;
      t.same(complaints.filter((_, place) => place !== expected), [], `${name}, ${mode}: nothing to complain of`);
      t.same(answer.status(), view.missing ? 404 : 200, `${name}, ${mode}: the answer says so`);
    }
    t.same(page.context().foreign, [], `${mode}: nothing was asked for elsewhere`);
    await page.context().close();
  }
  await refusals({ home, t });
  await widths({ browser, home, t });
  await keys({ browser, home, t });
  await weight({ browser, home, t });
  await home.end();
};

/** What every answer carries, as the browser got it. */
function headers(answer, name, t) {
  const got = answer.headers();
  const policy = got['content-security-policy'] ?? '';
  const whole = ["default-src 'none'", "frame-ancestors 'none'", "base-uri 'none'", "form-action 'self'"].every((part) => policy.includes(part));
  t.check(whole && !/unsafe|\*/.test(policy), `${name}: the policy is whole`, policy);
  const wanted = { 'x-content-type-options': 'nosniff', 'referrer-policy': 'no-referrer', 'cross-origin-resource-policy': 'same-origin', 'cross-origin-opener-policy': 'same-origin', 'cache-control': 'no-store' };
  t.same(Object.fromEntries(Object.keys(wanted).map((key) => [key, got[key]])), wanted, `${name}: the headers are there`);
}

/** Names that were made to resolve here, and posts of other sites. */
async function refusals({ home, t }) {
  const { hostname, port, host } = new URL(home.base);
  const ask = (given, method = 'GET') => new Promise((tell) => {
    const request = http.request({ host: hostname, port, path: '/', method, headers: given, timeout: 3000 }, (answer) => { answer.resume(); tell(answer.statusCode); });
    request.on('error', (error) => tell(error.code));
    request.end();
  });
  for (const name of ['rebind.invalid', `rebind.invalid:${port}`, `127.0.0.1.rebind.invalid:${port}`, '127.0.0.1:1']) t.same(await ask({ host: name }), 421, `the name ${name} is refused`);
  t.same(await ask({ host, origin: 'http://rebind.invalid', 'sec-fetch-site': 'cross-site', 'content-length': 0 }, 'POST'), 403, 'a post of another site is refused');
}

async function judge(page, name, t) {
  await page.evaluate(axe);
  const { passes, violations } = await page.evaluate((tags) => axe.run(document, {
    runOnly: { type: 'tag', values: tags },
    // axe cannot judge the colours of the system.
    rules: { 'color-contrast': { enabled: !matchMedia('(forced-colors: active)').matches } },
  }), TAGS);
  const said = violations.map((one) => `${one.id} x${one.nodes.length} ${one.nodes[0].target} ${one.nodes[0].failureSummary ?? ''}`);
  t.check(!violations.length, `axe: ${name} (${passes.length} rules passed)`, said.join('; '));
}

async function still(page, name, t) {
  const ground = await page.evaluate(() => {
    const [r, g, b] = getComputedStyle(document.body).backgroundColor.match(/\d+(\.\d+)?/g).map(Number);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  });
  t.check(ground < 40, `${name}: the ground is dark`, `luma ${ground}`);
  const moving = await page.evaluate(() => document.getAnimations().filter((one) => one.playState === 'running').length);
  t.same(moving, 0, `${name}: nothing moves where less motion is asked for`);
}

async function widths({ browser, home, t }) {
  const page = await signIn(browser, home);
  for (const { name, path, prepare } of VIEWS.list) {
    const wide = [];
    for (const width of [320, 360, 412, 768, 1280, 1920]) {
      await page.setViewportSize({ width, height: 800 });
      await page.goto(home.base + path);
      if (prepare) await prepare(page);
      const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      if (over > 0) wide.push(`${width} px: ${over} px too wide`);
      const small = await page.evaluate(() => [...document.querySelectorAll('button, .button, input:not([type=hidden]), select, textarea, summary, nav a, label.check')]
        .filter((one) => one.checkVisibility() && !one.closest('label.check, label.choice') || one.matches('label.check, label.choice'))
        .filter((one) => one.checkVisibility())
        .filter((one) => { const box = one.getBoundingClientRect(); return box.width > 0 && (box.height < 43.5 || box.width < 43.5); })
        .map((one) => `${one.tagName} ${one.id || one.textContent.trim().slice(0, 20)}`));
      if (small.length) wide.push(`${width} px: smaller than 44 px: ${[...new Set(small)].slice(0, 4).join(', ')}`);
    }
    t.same(wide, [], `${name}: fits from 320 to 1920 px with targets of 44 px`);
  }
  await page.context().close();
}

async function keys({ browser, home, t }) {
  const page = await signIn(browser, home);
  for (const { name, path, prepare } of VIEWS.list) {
    await page.goto(home.base + path);
    if (prepare) await prepare(page);
    await page.evaluate(() => document.activeElement?.blur?.());
    const all = await page.evaluate(() => {
      const scope = document.querySelector('dialog[open]') ?? document;
      return [...scope.querySelectorAll('a[href], button, input, select, textarea, summary')]
        .filter((one) => one.tabIndex >= 0 && !one.disabled && one.type !== 'hidden' && one.checkVisibility())
        // One of a group of radio buttons is reached by Tab, the others by arrows.
        .filter((one, _, list) => one.type !== 'radio' || list.find((other) => other.name === one.name) === one).length;
    });
    const seen = new Set();
    const unseen = [];
    for (let i = 0; i < all + 2; i += 1) {
      await page.keyboard.press('Tab');
      const here = await page.evaluate(() => {
        const one = document.activeElement;
        if (!one || one === document.body) return null;
        const box = one.getBoundingClientRect();
        // What sticks to the lower edge is not to lie over it.
        const covered = (element, { left, top, width, height }) => {
          const above = document.elementFromPoint(left + width / 2, top + height / 2);
          return Boolean(above?.closest('.stays')) && !element.closest('.stays');
        };
        const ring = getComputedStyle(one).outlineStyle !== 'none' || getComputedStyle(one.closest('label') ?? one).outlineStyle !== 'none';
        return { index: [...document.querySelectorAll('*')].indexOf(one), name: `${one.tagName} ${one.id || one.name || one.textContent}`, seen: ring && box.bottom > 0 && box.top < innerHeight && !covered(one, box) };
      });
      if (here) { seen.add(here.index); if (!here.seen) unseen.push(here.name); }
    }
    t.check(seen.size >= all, `${name}: Tab reaches all ${all} controls`, `${seen.size} reached`);
    t.same(unseen, [], `${name}: what has the focus is seen`);
  }
  await page.context().close();
}

/** Milliseconds until the answer is there, and until the browser has drawn something of it: the fastest of
 * several, because what else the machine does at the time only adds to them. */
async function firstView(page, address) {
  const views = [];
  const answers = [];
  for (let i = 0; i < 9; i += 1) {
    await page.goto(address);
    views.push(await page.evaluate(() => new Promise((tell) => {
      new PerformanceObserver((list) => { for (const one of list.getEntriesByName('first-contentful-paint')) tell(one.startTime); }).observe({ type: 'paint', buffered: true });
    })));
    answers.push(await page.evaluate(() => { const [one] = performance.getEntriesByType('navigation'); return one.responseEnd - one.requestStart; }));
  }
  return { view: Math.min(...views), answer: Math.min(...answers) };
}

async function weight({ browser, home, t }) {
  const page = await signIn(browser, home);
  // What the browser itself needs to show anything at all.
  const alone = (await firstView(page, `${home.base}/icon.svg`)).view;
  const most = Math.max(FIRST_VIEW, alone * TIMES_THE_BROWSER);
  t.say(`one small drawing: first view after ${alone.toFixed(0)} ms`);
  for (const { name, path } of VIEWS.list.filter((one) => !one.prepare)) {
    let bytes = 0;
    const bodies = [];
    const count = (response) => bodies.push(response.body().then((body) => { bytes += body.length; }, () => {}));
    page.on('response', count);
    await page.goto(home.base + path, { waitUntil: 'networkidle' });
    await Promise.all(bodies);
    page.off('response', count);
    t.check(bytes > 1000 && bytes < HEAVIEST, `${name}: ${(bytes / 1024).toFixed(0)} kB in all`, `${bytes} octets`);
    const { view, answer } = await firstView(page, home.base + path);
    t.check(answer < ANSWER, `${name}: answered after ${answer.toFixed(0)} ms`, `${answer} ms`);
    t.check(view < most, `${name}: first view after ${view.toFixed(0)} ms, of ${most.toFixed(0)}`, `${view} ms`);
  }
  await page.context().close();
}
