// What the page asks of the machine: the screen kept awake while it plays and only then, the sound switched
// off, less motion, and a pause that stands still to the millisecond.
const { Home, eveningSettings, eventually, signIn } = require('../harness.cjs');

/** The player hands the first moment over so long before it is due. */
const LEAD = 200;
const state = (page) => page.getAttribute('#follow', 'data-state');
const position = (page) => page.evaluate(() => JSON.parse(sessionStorage.getItem('evenfall-run')).position);

module.exports = async ({ browser, program, t }) => {
  const home = new Home(program, { 'settings.toml': eveningSettings(3) });
  await home.start();
  for (const part of [awake, withoutLock, exactPause, silence, lessMotion]) await part({ browser, home, t });
  await home.end();
};

/** Begins an evening anew in a tab of its own. */
async function begun(browser, home, { options = {}, before = () => {}, ready = () => {}, address = '/follow' } = {}) {
  const page = await signIn(browser, home, options);
  await before(page);
  await page.goto(home.base + address);
  await ready(page);
  const again = page.locator('button[value="again"]');
  if (await again.count()) await again.click(); else await page.click('#begin');
  return page;
}

async function awake({ browser, home, t }) {
  const page = await begun(browser, home, {
    before: (tab) => tab.addInitScript(() => {
      const real = navigator.wakeLock.request.bind(navigator.wakeLock);
      globalThis.locks = [];
      navigator.wakeLock.request = async (kind) => { const lock = await real(kind); globalThis.locks.push(lock); return lock; };
    }),
  });
  const held = () => page.evaluate(() => globalThis.locks.filter((lock) => !lock.released).length);
  await eventually('the screen kept awake', async () => await held() === 1);
  t.check(true, 'the screen is kept awake while it plays');
  await page.keyboard.press('Space');
  await eventually('the screen let go', async () => await held() === 0);
  t.check(true, 'and may sleep in a pause');
  await page.keyboard.press('Space');
  await eventually('the screen kept awake again', async () => await held() === 1);
  t.check(true, 'and is kept awake again after it');
  // A browser takes the lock back from a tab that is hidden.
  await page.evaluate(() => globalThis.locks.at(-1).release());
  t.same(await held(), 0, 'the browser took it back');
  await page.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));
  await eventually('a new lock', async () => await held() === 1);
  t.check(true, 'and it is asked for again when the tab is seen again');
  await page.click('#end');
  await page.click('#end-now');
  await eventually('the screen let go at the end', async () => await held() === 0);
  t.check(true, 'at the end the screen may sleep');
  t.same(page.context().complaints, [], 'nothing to complain of');
  await page.context().close();
}

async function withoutLock({ browser, home, t }) {
  const page = await begun(browser, home, {
    before: (tab) => tab.addInitScript(() => {
      Object.defineProperty(navigator, 'wakeLock', { value: undefined });
      globalThis.AudioContext = undefined;
    }),
  });
  const first = await page.textContent('#left');
  await eventually('the time going on', async () => await page.textContent('#left') !== first);
  t.same([await state(page), page.context().complaints], ['playing', []], 'without lock and sound it plays all the same');
  await page.context().close();
}

async function exactPause({ browser, home, t }) {
  const page = await begun(browser, home, {
    before: (tab) => tab.clock.install(),
    // From here on time goes on only as it is told to.
    ready: (tab) => tab.clock.pauseAt(new Date(Date.now() + 60000)),
  });
  await page.clock.runFor(5000);
  await page.keyboard.press('Space');
  const at = await position(page);
  t.check(Math.abs(at - (5000 - LEAD)) <= 30, 'five seconds are played', `${at} ms`);
  let now = at;
  let worst = 0;
  for (let i = 0; i < 10; i += 1) {
    await page.clock.runFor(7000);
    await page.keyboard.press('Space');
    await page.clock.runFor(1000);
    await page.keyboard.press('Space');
    const then = await position(page);
    worst = Math.max(worst, Math.abs(then - now - (1000 - LEAD)));
    now = then;
  }
  t.check(worst <= 30, 'each of ten pauses goes on where it was', `${worst} ms off`);
  t.check(Math.abs(now - at - 10 * (1000 - LEAD)) <= 30, 'and nothing accumulates', `${now - at} ms`);
  await page.context().close();
}

async function silence({ browser, home, t }) {
  const page = await begun(browser, home);
  const tones = () => page.evaluate(() => performance.getEntriesByName('tone').length);
  const nextCues = async () => { for (let i = 0; i < 4; i += 1) { await page.keyboard.press('n'); await page.waitForTimeout(300); } };
  await eventually('a tone', async () => await tones() > 0);
  await page.click('#sound');
  t.same(await page.textContent('#sound'), 'Sound off', 'the sound can be switched off');
  const count = await tones();
  await nextCues();
  t.same(await tones(), count, 'and then nothing sounds');
  await page.click('#sound');
  await nextCues();
  t.check(await tones() > count, 'and it can be switched on again');
  await page.context().close();
}

async function lessMotion({ browser, home, t }) {
  const page = await begun(browser, home, { options: { reducedMotion: 'reduce' } });
  for (let n = 0; n < 30 && await page.isHidden('#breath'); n += 1) await page.keyboard.press('n');
  t.same([await page.isHidden('#trace'), await page.isVisible('#bar')], [true, true], 'where less motion is asked for, a bar stands for the line');
  t.check(/^(Inhale|Exhale)$/.test(await page.textContent('#what')) && /^\d+$/.test(await page.textContent('#seconds')), 'with the word and its seconds');
  const widths = new Set();
  for (let i = 0; i < 45; i += 1) { widths.add(await page.evaluate(() => document.querySelector('#filled').style.width)); await page.waitForTimeout(100); }
  t.check(widths.size >= 3 && widths.size <= 8, 'the bar goes in steps of a second', [...widths].join());
  await page.context().close();
}
