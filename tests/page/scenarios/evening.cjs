// An evening: begun, reloaded in the middle, the service restarted in the middle, ended by hand, followed
// to its end, in two tabs, by keyboard alone, by touch on a telephone.
const { Home, eveningSettings, eventually, signIn, sleep } = require('../harness.cjs');

const SHORT = eveningSettings();
const seconds = (text) => { const [, minutes, rest] = text.match(/(\d+):(\d\d)/); return Number(minutes) * 60 + Number(rest); };
const left = async (page) => seconds(await page.textContent('#left'));
const state = (page) => page.getAttribute('#follow', 'data-state');

module.exports = async ({ browser, program, t }) => {
  await toTheEnd({ browser, program, t });
  await interrupted({ browser, program, t });
  await twoTabs({ browser, program, t });
  await byKeyboard({ browser, program, t });
  await byTouch({ browser, program, t });
};

/** The recorded evening, as tonight's page words it. */
async function recorded(page, home) {
  await page.goto(`${home.base}/`);
  return page.textContent('main');
}

async function toTheEnd({ browser, program, t }) {
  const home = new Home(program, { 'settings.toml': SHORT });
  await home.start();
  const page = await signIn(browser, home);
  await page.click('text=Start');
  await page.waitForSelector('#begin:enabled');
  const rules = await page.textContent('#first');
  t.check(/stop if you feel dizzy/.test(rules) && /cannot judge injuries/.test(rules), 'the first screen has the stop rule and the limits');
  // The clock of the page is driven by hand: four minutes in a second or two.
  await page.clock.install();
  await page.goto(`${home.base}/follow`);
  const total = await page.evaluate(() => JSON.parse(document.querySelector('#follow').dataset.routine).total_ms);
  await page.click('#begin');
  await page.clock.runFor(5000);
  t.same(await state(page), 'playing', 'it plays');
  t.check(Math.abs(await left(page) - (total / 1000 - 5)) <= 1, 'after five seconds five seconds are gone', await page.textContent('#left'));
  await page.keyboard.press('Space');
  const at = await page.textContent('#left');
  await page.clock.runFor(30000);
  t.same(await page.textContent('#left'), at, 'a pause stands still');
  await page.keyboard.press('Space');
  for (let gone = 0; gone < total; gone += 10000) await page.clock.runFor(10000);
  await eventually('the end', () => page.isVisible('#last'));
  await eventually('the record', async () => /Recorded: done/.test(await page.textContent('#recorded')));
  t.check(true, 'an evening is followed to its end and recorded as done');
  t.check(/Done, begun at/.test(await recorded(page, home)), 'tonight says so');
  t.same(page.context().foreign, [], 'nothing was asked for elsewhere');
  t.same(page.context().complaints, [], 'nothing to complain of');
  // A rehearsal plays the same at sixty times the speed and leaves no record.
  const other = new Home(program, { 'settings.toml': SHORT });
  await other.start();
  const fast = await signIn(browser, other);
  await fast.goto(`${other.base}/follow?pace=60`);
  await fast.click('#begin');
  const started = Date.now();
  await eventually('the end of the rehearsal', () => fast.isVisible('#last'));
  const took = Date.now() - started;
  t.check(Math.abs(took - total / 60) < 1500, 'at sixty times the speed it takes a sixtieth', `${took} ms for ${total / 60}`);
  t.check(/without recording/.test(await fast.textContent('#recorded')), 'a rehearsal says that it leaves no record');
  t.check(!/Done, begun/.test(await recorded(fast, other)), 'and leaves none');
  await fast.goto(`${other.base}/follow?pace=60`);
  await fast.check('#record');
  await fast.click('#begin');
  await eventually('the end of the second rehearsal', () => fast.isVisible('#last'));
  await eventually('its record', async () => /Recorded: done/.test(await fast.textContent('#recorded')));
  t.check(/Done, begun at/.test(await recorded(fast, other)), 'an evening at sixty times the speed is recorded where that is asked for');
  await other.end();
  // At noon it is only a try.
  const noon = new Home(program, { 'settings.toml': eveningSettings(4, 13) });
  await noon.start();
  const early = await signIn(browser, noon);
  await early.goto(`${noon.base}/follow`);
  t.check(/It is early/.test(await early.textContent('#first')), 'tried by day it says that it is early');
  await early.click('#begin');
  await sleep(1500);
  await early.click('#end');
  await early.click('#end-now');
  t.check(/without recording/.test(await early.textContent('#recorded')), 'and leaves the evening open');
  await noon.end();
  await home.end();
}

async function interrupted({ browser, program, t }) {
  const home = new Home(program, { 'settings.toml': SHORT });
  await home.start();
  const page = await signIn(browser, home);
  await page.goto(`${home.base}/follow`);
  await page.click('#begin');
  await sleep(3200);
  const before = await left(page);
  await page.reload();
  await eventually('going on after a reload', async () => await state(page) === 'playing');
  const after = await left(page);
  t.check(after <= before && before - after <= 2, 'a reload goes on where it was', `${before} s left, then ${after} s`);
  // The service goes away for a while: the page plays on.
  await home.stop();
  const gone = await left(page);
  await sleep(3000);
  const meanwhile = await left(page);
  t.check(gone - meanwhile >= 2 && await state(page) === 'playing', 'without the service it plays on', `${gone} s, then ${meanwhile} s left`);
  await page.click('#end');
  await page.click('#end-now');
  await eventually('the word that it is kept', async () => /is kept here/.test(await page.textContent('#recorded')));
  await home.start();
  await eventually('the record', async () => /Recorded: \d+ s of/.test(await page.textContent('#recorded')));
  t.check(true, 'what was done while the service was away is recorded when it is back');
  t.check(/Partly done: \d+ s of/.test(await recorded(page, home)), 'a broken-off evening is recorded as far as it went');
  // Begun and left: taken up from another window, where the service keeps the place.
  await page.goto(`${home.base}/follow`);
  await page.click('#begin');
  await page.keyboard.press('n');
  await page.keyboard.press('n');
  await sleep(1500);
  const leftAt = await left(page);
  await page.goto('about:blank');
  const fresh = await page.context().newPage();
  await home.stop();
  await home.start();
  await fresh.goto(`${home.base}/follow`);
  t.check(/You were at/.test(await fresh.textContent('#first')), 'another window offers to take it up');
  await fresh.click('text=Go on');
  await eventually('going on', async () => await state(fresh) === 'playing');
  const there = await left(fresh);
  t.check(Math.abs(there - leftAt) <= 2, 'and goes on from there, after a restart of the service too', `${leftAt} s, then ${there} s left`);
  await home.end();
}

async function twoTabs({ browser, program, t }) {
  const home = new Home(program, { 'settings.toml': SHORT });
  await home.start();
  const one = await signIn(browser, home);
  await one.goto(`${home.base}/follow`);
  await one.click('#begin');
  await sleep(1200);
  const other = await one.context().newPage();
  await other.goto(`${home.base}/follow`);
  await other.click('text=Go on');
  await eventually('the first tab pausing', async () => await state(one) === 'paused');
  t.check(/another window/.test(await one.textContent('#state')), 'the first tab says where it went');
  t.same(await state(other), 'playing', 'the second one plays');
  await one.click('#pause');
  await eventually('the second tab pausing', async () => await state(other) === 'paused');
  t.same(await state(one), 'playing', 'and it can be fetched back');
  await one.click('#end');
  await one.click('#end-now');
  await eventually('the record', async () => /Recorded/.test(await one.textContent('#recorded')));
  await other.click('#end');
  await other.click('#end-now');
  await eventually('the second tab', async () => /Recorded/.test(await other.textContent('#recorded')));
  const said = await recorded(one, home);
  t.check(/Partly done/.test(said), 'two tabs leave one evening', said);
  await home.end();
}

async function byKeyboard({ browser, program, t }) {
  const home = new Home(program, { 'settings.toml': SHORT });
  await home.start();
  const page = await signIn(browser, home);
  const reach = async (words) => {
    for (let i = 0; i < 60; i += 1) {
      await page.keyboard.press('Tab');
      const here = await page.evaluate(() => document.activeElement.textContent.trim());
      if (here === words) return;
    }
    throw new Error(`Tab never reaches "${words}"`);
  };
  await reach('Start');
  await page.keyboard.press('Enter');
  await page.waitForSelector('#begin:enabled');
  await reach('Begin');
  await page.keyboard.press('Enter');
  await eventually('playing', async () => await state(page) === 'playing');
  const what = await page.textContent('#what');
  await page.keyboard.press('n');
  t.check(await page.textContent('#what') !== what, 'n goes to the next');
  await page.keyboard.press('p');
  t.same(await page.textContent('#what'), what, 'p goes back');
  await page.keyboard.press('?');
  t.check(await page.isVisible('#keys'), '? shows the keys');
  await page.click('#letters');
  await page.keyboard.press('Escape');
  await page.keyboard.press('n');
  t.same(await page.textContent('#what'), what, 'single letters can be switched off');
  await page.click('#help');
  await page.click('#letters');
  await page.keyboard.press('Escape');
  await page.keyboard.press('Space');
  t.same(await state(page), 'paused', 'the space bar pauses');
  await page.keyboard.press('q');
  t.check(await page.isVisible('#ending'), 'q asks before it ends');
  await page.keyboard.press('Tab');
  await page.keyboard.press('Enter');
  await eventually('the end', () => page.isVisible('#last'));
  await home.end();
}

async function byTouch({ browser, program, t }) {
  const home = new Home(program, { 'settings.toml': SHORT });
  await home.start();
  const page = await signIn(browser, home, { viewport: { width: 360, height: 640 }, hasTouch: true, isMobile: true });
  await page.goto(`${home.base}/follow`);
  await page.tap('#begin');
  await eventually('playing', async () => await state(page) === 'playing');
  await page.tap('#picture, #breath:not([hidden])');
  t.same(await state(page), 'paused', 'a touch on the picture pauses');
  await page.tap('#pause');
  t.same(await state(page), 'playing', 'and a touch goes on');
  const small = await page.evaluate(() => [...document.querySelectorAll('#stage button')]
    .filter((button) => button.checkVisibility())
    .filter((button) => { const box = button.getBoundingClientRect(); return box.width < 44 || box.height < 44; })
    .map((button) => button.id));
  t.same(small, [], 'every button is at least 44 px');
  for (const [width, height] of [[320, 568], [360, 640], [768, 1024], [1920, 1080]]) {
    await page.setViewportSize({ width, height });
    for (let i = 0; i < 2; i += 1) {
      const fits = await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth && document.querySelector('#stage').scrollHeight <= innerHeight + 1);
      t.check(fits, `the stage fits ${width} by ${height}, ${i ? 'breathing' : 'stretching'}`);
      if (i) break;
      for (let n = 0; n < 20 && await page.isHidden('#breath'); n += 1) await page.tap('#forth');
    }
    await page.evaluate(() => { for (let n = 0; n < 30; n += 1) document.querySelector('#back').click(); });
  }
  await home.end();
}
