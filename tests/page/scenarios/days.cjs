// A morning answered, today read, pain reported and closed, a session recorded, settings
// edited without losing a comment.
const { Home, eveningSettings, eventually, signIn } = require('../harness.cjs');
const { fill, day } = require('../views.cjs');

module.exports = async (given) => {
  await usualNight(given);
  await sorePlaces(given);
  await morning(given);
  await today(given);
  await pain(given);
  await settings(given);
};

async function home(program, filled = true) {
  const made = new Home(program, { 'settings.toml': eveningSettings(6, 9) });
  if (filled) fill(made);
  await made.start();
  return made;
}

/** The usual night: what stands there already, four taps and the button. */
async function usualNight({ browser, program, t }) {
  const own = await home(program, false);
  const page = await signIn(browser, own);
  await page.click('nav >> text=Morning');
  const started = Date.now();
  let presses = 0;
  const press = async (what) => { presses += 1; await page.click(what); };
  t.check(await page.inputValue('#lights_out') === '23:30' && await page.inputValue('#woke') === '07:00', 'the times of the plan stand there already');
  for (const item of ['sleep_quality', 'freshness', 'soreness', 'mood']) await press(`label:has(input[name="${item}"][value="3"])`);
  await press('#morning button.first');
  await page.waitForURL('**/today**');
  t.same(presses, 5, 'a usual night takes five presses');
  // A person takes two or three seconds a press at most; the program's own share is small.
  t.check(Date.now() - started < 5000, 'and the page itself little of the twenty seconds', `${Date.now() - started} ms`);
  const shown = own.json('morning', '--show');
  t.same([shown.ratings, shown.in_bed_s], [{ sleep_quality: 3, freshness: 3, soreness: 3, mood: 3 }, 7.5 * 3600], 'and is recorded with the planned times');
  await own.end();
}

/** Where a region of the body outline is on the screen: the middle of each of its lines. */
const spots = (page, region) => page.evaluate((id) => {
  document.querySelector('#body').scrollIntoView({ block: 'center' });
  return [...document.querySelectorAll(`#body g[data-region="${id}"] line`)].map((line) => {
    const middle = new DOMPoint((line.x1.baseVal.value + line.x2.baseVal.value) / 2, (line.y1.baseVal.value + line.y2.baseVal.value) / 2);
    const { x, y } = middle.matrixTransform(line.getScreenCTM());
    return [x, y];
  });
}, region);

/** The body by mouse, by touch, and its list by keyboard alone. */
async function sorePlaces({ browser, program, t }) {
  const own = await home(program, false);
  for (const [by, options] of [['mouse', {}], ['touch', { viewport: { width: 360, height: 640 }, hasTouch: true, isMobile: true }]]) {
    const page = await signIn(browser, own, options);
    const tap = (x, y) => (by === 'touch' ? page.touchscreen.tap(x, y) : page.mouse.click(x, y));
    await page.goto(`${own.base}/morning`);
    await (by === 'touch' ? page.tap('label:has(input[name="soreness"][value="2"])') : page.click('label:has(input[name="soreness"][value="2"])'));
    t.check(await page.isVisible('#body'), `${by}: soreness below usual asks where`);
    const wrong = [];
    const regions = await page.evaluate(() => [...new Set([...document.querySelectorAll('#body [data-region]')].map((one) => one.dataset.region))]);
    for (const region of regions) {
      const field = `#sore_${region}`;
      for (const [x, y] of await spots(page, region)) {
        const before = Number(await page.inputValue(field));
        await tap(x, y);
        const after = Number(await page.inputValue(field));
        if (after !== (before + 1) % 4) wrong.push(`${region} at ${x.toFixed(0)},${y.toFixed(0)}: ${before}, then ${after}`);
      }
    }
    t.same([regions.length, wrong], [16, []], `${by}: every place of the outline can be tapped`);
    const [[x, y]] = await spots(page, 'chest');
    const degrees = [];
    for (let i = 0; i < 4; i += 1) { degrees.push(await page.inputValue('#sore_chest')); await tap(x, y); }
    t.same([...degrees].sort(), ['0', '1', '2', '3'], `${by}: four taps go around the degrees`);
    await page.context().close();
  }
  const page = await signIn(browser, own);
  await page.goto(`${own.base}/morning`);
  const tabTo = async (test, what) => {
    for (let i = 0; i < 80; i += 1) { await page.keyboard.press('Tab'); if (await page.evaluate(test)) return; }
    throw new Error(`Tab never reaches ${what}`);
  };
  await tabTo(() => document.activeElement.name === 'soreness', 'the soreness buttons');
  // From the first of five to the second: soreness 2.
  await page.keyboard.press('Space');
  await page.keyboard.press('ArrowRight');
  t.same(await page.evaluate(() => document.querySelector('input[name="soreness"]:checked').value), '2', 'keyboard: the arrows choose among the five');
  await page.keyboard.press('Shift+Tab');
  await page.keyboard.press('Tab');
  t.same(await page.evaluate(() => [document.activeElement.name, document.activeElement.value]), ['soreness', '2'], 'keyboard: the chosen one is where Tab comes back to');
  await tabTo(() => document.activeElement.id === 'sore_calves', 'the list of places');
  await page.keyboard.press('ArrowDown');
  await page.keyboard.press('ArrowDown');
  t.same(await page.inputValue('#sore_calves'), '2', 'keyboard: the list says how sore');
  t.same(await page.getAttribute('#body g[data-region="calves"]', 'data-degree'), '2', 'and shows on the outline');
  await tabTo(() => document.activeElement.textContent === 'Record', 'Record');
  await page.keyboard.press('Enter');
  await page.waitForURL('**/today**');
  const shown = own.json('morning', '--show');
  t.same([shown.ratings.soreness, shown.sore_in ?? shown.ratings.sore_in], [2, { calves: 2 }], 'keyboard: a sore morning is recorded');
  await own.end();
}

async function morning({ browser, program, t }) {
  const own = await home(program, false);
  const page = await signIn(browser, own);
  await page.click('nav >> text=Morning');
  for (const [item, value] of [['sleep_quality', 3], ['freshness', 2], ['soreness', 2], ['mood', 4]]) await page.click(`label:has(input[name="${item}"][value="${value}"])`);
  await page.selectOption('#sore_glutes', '1');
  // Four digits are a time; whoever goes to bed later puts the light out later.
  await page.fill('#into_bed', '2350');
  await page.press('#into_bed', 'Tab');
  t.same([await page.inputValue('#into_bed'), await page.inputValue('#lights_out')], ['23:50', '23:50'], 'who goes to bed later puts the light out later');
  await page.click('#morning button.first');
  await page.waitForURL('**/today**');
  const shown = own.json('morning', '--show');
  t.same(shown.ratings, { sleep_quality: 3, freshness: 2, soreness: 2, mood: 4 }, 'the command shows the same ratings');
  t.same(shown.in_bed_s, (7 * 60 + 10) * 60, 'and the same night');
  // Impossible times are a question, and what was written is still there.
  await page.goto(`${own.base}/morning`);
  await page.fill('#woke', '06:00');
  await page.fill('#up', '05:00');
  await page.click('#morning button.first');
  t.check(/Not recorded yet/.test(await page.textContent('main')), 'impossible times are asked about');
  t.same([await page.inputValue('#up'), await page.isChecked('input[name="freshness"][value="2"]')], ['05:00', true], 'and nothing that was written is lost');
  t.same(own.json('morning', '--show').in_bed_s, shown.in_bed_s, 'and nothing was changed');
  await page.fill('#up', '06:15');
  await page.click('#morning button.first');
  await page.waitForURL('**/today**');
  t.same(own.json('morning', '--history').records.length, 2, 'a correction keeps the earlier answer');
  // One button for a usual morning.
  const other = await home(program, false);
  const usual = await signIn(browser, other);
  await usual.goto(`${other.base}/morning`);
  await usual.click('text=All as usual');
  await usual.waitForURL('**/today**');
  t.same(other.json('morning', '--show').ratings, { sleep_quality: 3, freshness: 3, soreness: 3, mood: 3 }, 'one button records a usual morning');
  t.same([...page.context().foreign, ...usual.context().foreign], [], 'nothing was asked for elsewhere');
  await other.end();
  await own.end();
}

async function today({ browser, program, t }) {
  const own = await home(program);
  const page = await signIn(browser, own);
  await page.goto(`${own.base}/today`);
  const machine = own.json('today');
  const said = await page.textContent('main');
  t.check(said.indexOf('wrist') >= 0 && said.indexOf('wrist') < said.indexOf('As planned'), 'cautions come first');
  t.check(await page.isVisible('svg[aria-label^="This morning"]'), 'readiness is a mark on a line');
  t.check(!/\b\d{1,3}\s*(%|\/\s*100)/.test(said), 'and no score of a hundred');
  const wanted = machine.session.suggested;
  t.check(said.includes('As suggested') && said.includes(`${wanted.minutes} min`), 'the session as suggested stands beside the plan', JSON.stringify(wanted));
  await page.click('text=As planned anyway');
  t.check(own.json('today').kept, 'as planned anyway is remembered');
  t.check(/As planned, as you chose/.test(await page.textContent('main')), 'and shown');
  await page.click('text=As suggested after all');
  t.check(!own.json('today').kept, 'and can be taken back');
  if (await page.isHidden('#rpe')) await page.click('text=Record a session');
  await page.selectOption('#rpe', '7');
  await page.fill('#minutes', '30');
  await page.click('form[action="/train"] button');
  t.check(/Legs, 30 min, effort 7, load 210/.test(await page.textContent('main')), 'a session can be recorded');
  t.same(own.json('today').load.day, 210, 'and counts');
  await own.end();
}

async function pain({ browser, program, t }) {
  const own = await home(program);
  const page = await signIn(browser, own);
  await page.goto(`${own.base}/morning`);
  await page.click('text=Something hurts');
  await page.selectOption('#place', 'knee');
  await page.selectOption('select[name="side"]', '_left');
  await page.selectOption('#kind', 'swelling');
  await page.click('form[action="/pain"] button');
  t.check(/How strong/.test(await page.textContent('main')), 'what is missing is asked for');
  await page.goBack();
  await page.selectOption('#level', '6');
  await page.click('form[action="/pain"] button');
  await page.waitForURL('**/pain?did=recorded');
  t.check(/left knee/.test(await page.textContent('main')), 'a painful knee is recorded and its text shown');
  await page.goto(`${own.base}/pain`);
  await page.check('input[value="dark_urine_after_hard_exercise"]');
  await page.click('form[action="/pain"] button');
  await page.waitForURL('**/pain?did=recorded');
  const first = await page.textContent('.caution');
  t.check(/call your local emergency number/i.test(first), 'what cannot wait comes first', first);
  t.check(!own.json('today').session.suggested, 'and no training is suggested');
  await page.goto(`${own.base}/today`);
  t.check(/get help first/.test(await page.textContent('main')), 'today says so');
  await page.goto(`${own.base}/pain`);
  await page.click('.caution >> nth=0 >> text=It is over');
  t.check(!/emergency/.test(await page.textContent('main .caution')), 'it can be closed');
  await own.end();
}

async function settings({ browser, program, t }) {
  const own = await home(program);
  own.write('settings.toml', `${eveningSettings(6, 9).replace('bedtime = "23:30"', 'bedtime = "23:30"   # not later').replace('[evening]', '# my coach says ten at most\n[evening]')}`);
  const page = await signIn(browser, own);
  await page.goto(`${own.base}/settings`);
  await page.fill('#bedtime', '23:00');
  await page.fill('#minutes', '10');
  await page.evaluate(() => { for (const one of document.querySelectorAll('details')) one.open = true; });
  await page.check('input[name="avoid_kneeling"]');
  await page.fill('#fri_bedtime', '23:45');
  await page.click('form[action="/settings"] button.first');
  await page.waitForURL('**/settings?did=saved');
  const text = own.read('settings.toml');
  t.check(text.includes('bedtime = "23:00"   # not later') && text.includes('# my coach says ten at most'), 'comments survive a change', text);
  t.check(/minutes = 10/.test(text) && /avoid = \["kneeling"\]/.test(text) && /fri = \{ bedtime = "23:45" \}/.test(text), 'every change is written', text);
  own.run('check');
  t.same(own.json('tonight').routine.stretches.filter((one) => one.position === 'kneeling').length, 0, 'and followed');
  await page.fill('#timezone', 'Europe/Olso');
  await page.click('form[action="/settings"] button.first');
  const said = await page.textContent('main');
  t.check(/Nothing was changed/.test(said) && /Europe\/Oslo/.test(said), 'a slip is named with what to write', said.slice(0, 400));
  t.same(own.read('settings.toml'), text, 'and nothing is written');
  // Edited by hand while the form is open.
  await page.goto(`${own.base}/settings`);
  own.write('settings.toml', `${text}\n# by hand\n`);
  await page.fill('#minutes', '12');
  await page.click('form[action="/settings"] button.first');
  t.check(/changed meanwhile/.test(await page.textContent('main')), 'a file edited meanwhile is not overwritten');
  t.check(own.read('settings.toml').endsWith('# by hand\n'), 'and stays');
  await furtherSettings({ own, page, t });
  await unsaved({ own, page, t });
  // The block.
  await page.goto(`${own.base}/settings`);
  await page.selectOption('#block-choice', 'return_four_weeks');
  await page.fill('#starts', day(-7));
  await page.click('text=Save the block');
  await page.waitForURL('**/settings?did=block**');
  t.check(own.read('block.toml').includes(`starts = ${day(-7)}`), 'another block is written with its start');
  t.check(own.read('block-before-1.toml').includes('Groundwork for a test'), 'and the one before stays beside it');
  await page.fill('#days', '7');
  await page.click('text=Move >> nth=-1');
  await page.waitForURL('**/settings?did=shifted**');
  t.check(/\[\[shift\]\]/.test(own.read('block.toml')), 'what is to come can be moved');
  // The service follows: the page goes where the settings say.
  own.write('settings.toml', own.read('settings.toml').replace('minutes = 10', 'minutes = "ten"'));
  await eventually('the complaint', async () => { await page.goto(`${own.base}/`); return /A file needs a look/.test(await page.textContent('main')); });
  t.check(/settings\.toml:\d+:\d+/.test(await page.textContent('main')), 'a broken file is complained of with its place');
  await own.end();
}

/** What is not saved yet in the other forms is there after one of them was saved, or refused. */
async function unsaved({ own, page, t }) {
  const before = own.read('settings.toml');
  const bedtime = before.match(/^bedtime = "(.*)"/m)[1];
  const open = (what) => page.evaluate((summary) => { document.querySelector(summary).closest('details').open = true; }, what);
  const marked = async () => Promise.all(['settings', 'night', 'own ', 'block'].map((name) => page.isVisible(`form[data-keep="${name}"] [data-unsaved]`)));
  await page.goto(`${own.base}/settings`);
  t.same([await marked(), await page.isHidden('#still-unsaved')], [[false, false, false, false], true], 'nothing is called unsaved that was not touched');
  await page.fill('#bedtime', '22:35');
  await open('input[name="avoid_standing"]');
  await page.check('input[name="avoid_standing"]');
  await open('#own-text');
  await page.fill('#own-text', 'Tea');
  await open('#night-date');
  await page.fill('#night-date', day(-11));
  await page.fill('#night-wake', '08:15');
  t.same(await marked(), [true, true, true, false], 'what is changed is marked as not saved');
  await page.focus('#night-wake');
  await page.keyboard.press('Enter');
  await page.waitForURL('**/settings?did=night**');
  const standing = async () => [await page.inputValue('#bedtime'), await page.isChecked('input[name="avoid_standing"]'), await page.inputValue('#own-text')];
  t.same(await standing(), ['22:35', true, 'Tea'], 'a night saved by keyboard leaves what is unsaved in the other forms');
  t.check(await page.isVisible('input[name="avoid_standing"]') && await page.isVisible('#own-text') && await page.isVisible('#still-unsaved'), 'in sight, and said');
  await open('#night-date');
  t.same([await marked(), await page.inputValue('#night-date')], [[true, false, true, false], ''], 'the saved form is empty again');
  t.check(own.read('settings.toml').includes(`date = ${day(-11)}`) && own.read('settings.toml').includes(`bedtime = "${bedtime}"`), 'only the night was written');
  // A slip in one form.
  await page.fill('#night-date', day(-12));
  await page.fill('#night-wake', '12:3');
  await page.click('text=Save the night');
  t.check(/Nothing was changed/.test(await page.textContent('main')), 'a slip is refused');
  t.same([await standing(), await page.inputValue('#night-wake')], [['22:35', true, 'Tea'], '12:3'], 'and everything is still there');
  await page.click('form[action="/settings"] button.first');
  await page.waitForURL('**/settings?did=saved');
  const text = own.read('settings.toml');
  t.check(text.includes('bedtime = "22:35"') && /avoid = \[.*"standing".*\]/.test(text), 'the large form saves what it kept', text);
  t.same([await page.inputValue('#night-wake'), await page.inputValue('#own-text'), await marked()], ['12:3', 'Tea', [false, true, true, false]], 'and leaves what was refused before');
  await page.goto(`${own.base}/settings`);
  t.same([await page.inputValue('#night-wake'), await page.inputValue('#own-text'), await page.isHidden('#still-unsaved')], ['', '', true], 'nothing comes back later');
  own.write('settings.toml', before);
}

/** Single nights, prompts of one's own, alarms, one's own breath; and what only the file can say. */
async function furtherSettings({ own, page, t }) {
  const comments = own.read('settings.toml').split('\n').filter((line) => line.includes('#'));
  const open = () => page.evaluate(() => { for (const one of document.querySelectorAll('details')) one.open = true; });
  const go = async () => { await page.goto(`${own.base}/settings`); await open(); };
  const save = async (button, did) => { await page.click(button); await page.waitForURL(`**/settings?did=${did}**`); await open(); };
  const evening = day(-9);
  await go();
  await page.fill('#night-date', evening);
  await page.fill('#night-bedtime', '0030');
  await save('text=Save the night', 'night');
  t.check(own.read('settings.toml').includes(`[[nights.on]]\ndate = ${evening}\nbedtime = "00:30"`), 'a single night is written', own.read('settings.toml'));
  t.check(/lights out 00:30/.test(await page.textContent('section[aria-labelledby="single"]')), 'and listed');
  await page.fill('#night-date', evening);
  await page.fill('#night-wake', '12:3');
  await page.click('text=Save the night');
  t.check(/Nothing was changed/.test(await page.textContent('main')) && await page.inputValue('#night-date') === evening, 'a slip is asked about, and what was written is still there');
  await go();
  await save('section[aria-labelledby="single"] li button', 'removed');
  t.check(!own.read('settings.toml').includes('nights.on'), 'and it can be taken back');
  await page.fill('#own-text', 'Last coffee of the day');
  await page.fill('#own-time', '13.30');
  for (const name of ['sat', 'sun']) await page.uncheck(`form:has(#own-text) input[name="day_${name}"]`);
  await save('form:has(#own-text) button', 'own');
  const coffee = () => own.json('agenda', '--from', day(-9), '--days', '7').prompts.filter((one) => one.text.includes('coffee')).map((one) => one.due_at.slice(11, 16));
  t.same(coffee(), Array(5).fill('13:30'), 'a prompt of one\'s own comes on five days of a week');
  await page.fill('#own0-time', '14:00');
  await save('form:has(#own0-text) button', 'own');
  t.same(coffee(), Array(5).fill('14:00'), 'and can be changed');
  own.write('settings.toml', own.read('settings.toml').replace('0 0 14 * * Mon-Fri', '0 0 14 1,15 * *'));
  await go();
  t.same(await page.inputValue('#own0-when'), '0 0 14 1,15 * *', 'cron fields that say more are shown as they are');
  await page.fill('#own0-when', '0 0 14 * * 7');
  await page.click('form:has(#own0-text) button');
  t.check(/Nothing was changed/.test(await page.textContent('main')), 'and checked');
  await go();
  await save('section[aria-labelledby="own"] li button', 'removed');
  t.check(!own.read('settings.toml').includes('coffee'), 'and it can be removed');
  for (const name of ['mon', 'fri']) await page.check(`input[name="alarm_${name}"]`);
  await page.fill('#breaths_per_min', '12.5');
  await page.uncheck('input[name="lights_out"]');
  await save('form[action="/settings"] button.first', 'saved');
  const text = own.read('settings.toml');
  for (const line of ['alarm_days = ["mon", "fri"]', 'breaths_per_min = 12.5', 'lights_out = "off"']) t.check(text.includes(line), `${line} is written`, text);
  t.same(comments.filter((line) => !text.includes(line)), [], 'every comment is still there');
  own.run('check');
  t.check(/A command for Start.*could be made to run/s.test(await page.textContent('section[aria-labelledby="in-file"]')), 'what only the file can say is named with its reason');
}
