// What the browser tests share: a service in a home of its own, a browser, and counting.
// Needs: chromium (CHROMIUM or /usr/bin/chromium), playwright-core and axe-core on NODE_PATH.
const { chromium } = require('playwright-core');
const { spawn, spawnSync } = require('child_process');
const fs = require('fs');
const os = require('os');
const path = require('path');
const { isDeepStrictEqual } = require('util');

const BROWSER_FLAGS = ['--no-sandbox', '--disable-gpu', '--disable-dev-shm-usage', '--disable-background-networking',
  '--disable-component-update', '--disable-sync', '--no-first-run', '--mute-audio', '--autoplay-policy=user-gesture-required',
  // Every name but our own resolves to nothing, so a request to anywhere else fails and is seen.
  '--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost'];

const sleep = (ms) => new Promise((go) => { setTimeout(go, ms); });

/** Waits for a condition, not for a time; gives its value. */
async function eventually(what, condition, patience = 15000) {
  const until = Date.now() + patience;
  let last;
  for (;;) {
    try { last = await condition(); if (last) return last; } catch (error) { last = error; }
    if (Date.now() > until) throw new Error(`${what} did not happen: ${last}`);
    await sleep(50);
  }
}

/** Services that run: none outlives the tests, however these end. */
const running = new Set();
process.on('exit', () => { for (const child of running) child.kill('SIGKILL'); });

class Home {
  constructor(program, files = {}) {
    this.program = program;
    this.folder = fs.mkdtempSync(path.join(os.tmpdir(), 'evenfall-page-'));
    for (const [name, text] of Object.entries(files)) this.write(name, text);
    this.environment = { ...process.env, XDG_RUNTIME_DIR: this.folder, TZ: 'UTC', DBUS_SESSION_BUS_ADDRESS: process.env.EVENFALL_TEST_BUS ?? '' };
    delete this.environment.EVENFALL_HOME;
  }

  write(name, text) {
    const file = path.join(this.folder, name);
    fs.mkdirSync(path.dirname(file), { recursive: true });
    fs.writeFileSync(file, text);
  }

  read(name) { return fs.readFileSync(path.join(this.folder, name), 'utf8'); }

  run(...words) {
    const done = spawnSync(this.program, ['--home', this.folder, ...words], { env: this.environment, encoding: 'utf8' });
    if (done.status !== 0) throw new Error(`evenfall ${words.join(' ')}: ${done.stderr}`);
    return done.stdout;
  }

  json(...words) { return JSON.parse(this.run('--json', ...words)); }

  async start() {
    this.child = spawn(this.program, ['--home', this.folder, 'daemon'], { env: this.environment, stdio: ['ignore', 'pipe', 'pipe'] });
    const { child } = this;
    running.add(child);
    child.once('exit', () => running.delete(child));
    let said = '';
    this.child.stdout.on('data', (data) => { said += data; });
    let wrong = '';
    this.child.stderr.on('data', (data) => { wrong += data; });
    await eventually('the page', () => said.includes('http://')).catch((error) => { throw new Error(`${error.message}\n${wrong}`); });
    this.base = said.match(/http:\/\/[^/]+/)[0];
  }

  async stop() {
    if (!this.child) return;
    const gone = new Promise((go) => { this.child.once('exit', go); });
    this.child.kill('SIGTERM');
    await gone;
    this.child = null;
  }

  address() { return this.run('page').trim(); }

  async end() { await this.stop(); fs.rmSync(this.folder, { recursive: true, force: true }); }
}

class Counter {
  /** @param before what stands before every line, where several are counted at the same time */
  constructor(before = '') { this.good = 0; this.bad = 0; this.before = before; }

  say(words) { console.log(`     ${this.before}${words}`); }

  check(ok, what, more = '') {
    if (ok) this.good += 1; else this.bad += 1;
    console.log(`${ok ? 'ok  ' : 'FAIL'} ${this.before}${what}${ok ? '' : `: ${more}`}`);
  }

  same(got, wanted, what) { this.check(isDeepStrictEqual(got, wanted), what, `${JSON.stringify(got)} instead of ${JSON.stringify(wanted)}`); }
}

/**
 * A zone in which the wanted hour is running, on the date of UTC if there is one: the tests count days by that.
 * A morning may then be an hour or two older.
 */
function zoneAt(hour) {
  const now = new Date().getUTCHours();
  const sameDate = hour < 12 ? Math.max(hour - now, -12) : hour - now;
  const ahead = sameDate >= -12 && sameDate <= 14 ? sameDate : (hour - now + 36) % 24 - 12;
  // POSIX names count westward.
  return ahead === 0 ? 'Etc/UTC' : `Etc/GMT${ahead > 0 ? '-' : '+'}${Math.abs(ahead)}`;
}

/** Settings in a zone in which the wanted hour is running. */
function eveningSettings(minutes = 4, hour = 21) {
  return `timezone = "${zoneAt(hour)}"\n[nights]\nbedtime = "23:30"\nwake = "07:00"\n[evening]\nminutes = ${minutes}\n`;
}

/** Settings with which the evening's prompt has just come: it begins in about a minute. */
function promptedSettings(minutes = 8) {
  const bedtime = new Date(Date.now() + (minutes + 15 + 1) * 60000);
  const clock = `${21 + (bedtime.getUTCHours() - new Date().getUTCHours() + 24) % 24}:${String(bedtime.getUTCMinutes()).padStart(2, '0')}`;
  return eveningSettings(minutes).replace('23:30', clock);
}

/** A signed-in tab, with everything it asks for elsewhere and everything it complains of. */
async function signIn(browser, home, options = {}) {
  const context = await browser.newContext({ serviceWorkers: 'block', viewport: { width: 1280, height: 800 }, colorScheme: 'dark', ...options });
  context.foreign = [];
  context.complaints = [];
  context.on('page', (page) => watch(page, context, home));
  const page = await context.newPage();
  await page.goto(home.address());
  return page;
}

function watch(page, context, home) {
  page.on('request', (request) => {
    const url = new URL(request.url());
    if (url.protocol.startsWith('http') && url.origin !== home.base) context.foreign.push(request.url());
  });
  page.on('console', (line) => { if (line.type() === 'error') context.complaints.push(line.text()); });
  page.on('pageerror', (error) => context.complaints.push(String(error)));
}

async function withBrowser(work) {
  const browser = await chromium.launch({ executablePath: process.env.CHROMIUM || '/usr/bin/chromium', args: BROWSER_FLAGS });
  try { return await work(browser); } finally { await browser.close(); }
}

module.exports = { Home, Counter, eveningSettings, promptedSettings, eventually, signIn, sleep, withBrowser };
