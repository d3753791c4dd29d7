// A morning answered, today read, pain reported and closed, a session recorded, a week printed, settings
// edited without losing a comment.
const { Home, eveningSettings, eventually, signIn } = require('../harness.cjs');
const { fill, day } = require('../views.cjs');

module.exports = async (given) => {
  await morning(given);
  await today(given);
  await pain(given);
  await weeks(given);
  await settings(given);
};

async function home(program, filled = true) {
  const made = new Home(program, { 'settings.toml': eveningSettings(6, 9) });
  if (filled) fill(made);
  await made.start();
  return made;
}

async function morning({ browser, program, t }) {
  const own = await home(program, false);
  const page = await signIn(browser, own);
  const started = Date.now();
  await page.click('nav >> text=Morning');
  t.check(await page.inputValue('#lights_out') === '23:30' && await page.inputValue('#woke') === '07:00', 'the times of the plan stand there already');
  for (const [item, value] of [['sleep_quality', 3], ['freshness', 2], ['soreness', 2], ['mood', 4]]) await page.click(`label:has(input[name="${item}"][value="${value}"])`);
  t.check(await page.isVisible('#body'), 'soreness below usual asks where');
  await page.dispatchEvent('#body g[data-region="calves"] line', 'click');
  await page.dispatchEvent('#body g[data-region="calves"] line', 'click');
  t.same(await page.inputValue('#sore_calves'), '2', 'a place tapped twice is clearly sore');
  await page.selectOption('#sore_glutes', '1');
  t.same(await page.getAttribute('#body g[data-region="glutes"]', 'data-degree'), '1', 'the list shows on the outline');
  await page.fill('#into_bed', '23:50');
  await page.press('#into_bed', 'Tab');
  t.same(await page.inputValue('#lights_out'), '23:50', 'who goes to bed later puts the light out later');
  await page.click('#morning button.first');
  await page.waitForURL('**/today**');
  t.check(Date.now() - started < 20000, 'a morning takes less than twenty seconds', `${Date.now() - started} ms`);
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

async function weeks({ browser, program, t }) {
  const own = await home(program);
  const page = await signIn(browser, own);
  await page.goto(`${own.base}/weeks`);
  t.same(await page.locator('svg.chart').count(), 3, 'three charts');
  const rows = await page.locator('[data-chart="nights"] tbody tr').count();
  t.same(rows, 28, 'and a table behind the nights with every one');
  const pdf = await page.pdf({ format: 'A4' });
  const pages = pdf.toString('latin1').match(/\/Type\s*\/Page\b/g).length;
  t.same(pages, 1, 'four weeks print on one page');
  await page.click('text=The block');
  t.check(/block=1/.test(page.url()) && await page.locator('.whole-block tbody tr').count() === 4, 'the whole block, a row a week');
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
