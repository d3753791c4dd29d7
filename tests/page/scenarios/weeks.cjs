// Looking back: four weeks, nine weeks of a block with everything there is to say, and both on paper.
const { Home, eveningSettings, signIn } = require('../harness.cjs');
const { fill } = require('../views.cjs');
const nine = require('../nine_weeks.cjs');

module.exports = async (given) => {
  await few(given);
  await block(given);
  await soreEverywhere(given);
  await nothing(given);
};

const pagesOf = async (page) => (await page.pdf({ format: 'A4' })).toString('latin1').match(/\/Type\s*\/Page\b/g).length;

async function few({ browser, program, t }) {
  const own = new Home(program, { 'settings.toml': eveningSettings(6, 9) });
  fill(own);
  await own.start();
  const page = await signIn(browser, own);
  await page.goto(`${own.base}/weeks`);
  t.same(await page.locator('svg.chart').count(), 3, 'three charts');
  t.same(await page.locator('[data-chart="nights"] tbody tr').count(), 28, 'and a table behind the nights with every one');
  t.same(await pagesOf(page), 1, 'four weeks print on one page');
  await page.click('text=The block');
  t.check(/block=1/.test(page.url()), 'the block is one of the spans');
  await own.end();
}

async function block({ browser, program, t }) {
  const own = new Home(program);
  nine.fill(own);
  await own.start();
  const page = await signIn(browser, own);
  await page.goto(`${own.base}/weeks?block=1`);
  const review = own.json('review', '--block');
  const shown = await page.textContent('main');
  t.same(await page.locator('.sentences li').allTextContents(), review.sentences, 'the sentences are those of the command');
  t.same(await page.locator('.whole-block tr:has(td)').count(), nine.WEEKS, 'every week of every phase has a row');
  t.check(await page.isVisible('.whole-block table'), 'in sight without a click');
  const section = (id) => page.textContent(`section:has(> #${id})`);
  const sleep = await section('sleep');
  t.check(sleep.includes(`${Math.round(review.sleep.regularity)} of 100`), 'regularity', sleep);
  t.check(sleep.includes(`Social jetlag${Math.round(review.sleep.social_jetlag_s / 60)} min`), 'social jetlag', sleep);
  const [best] = review.bests;
  const bests = await section('bests');
  t.check(bests.includes('Legs and lungs, Step-ups') && bests.includes(`${best.total} on`) && bests.includes(`${best.before.total} on`), 'the best of a part and that of the phase before', bests);
  t.same(await page.locator('section:has(> #sore) tbody tr').count(), review.sore.length, 'sore regions by week');
  t.check(review.comparison.length >= 2 && review.comparison.every((sentence) => shown.includes(sentence)), 'what came out of the comparison', JSON.stringify(review.comparison));
  t.same(await page.locator('[data-chart="nights"] .chart-recorded').count(), review.sleep.nights, 'a bar a recorded night');
  t.same(await pagesOf(page), 1, 'nine weeks print on one page');
  await page.emulateMedia({ media: 'print' });
  const onPaper = async (what) => page.locator(what).first().isVisible();
  t.check(await onPaper('.whole-block table') && await onPaper('#compared') && await onPaper('#sore') && !await onPaper('.choices'), 'with weeks, numbers and comparison, without buttons');
  await own.end();
}

/** With every region sore the page stays one page, and every region is on it. */
async function soreEverywhere({ browser, program, t }) {
  const regions = ['neck', 'shoulders', 'chest', 'upper_back', 'lower_back', 'core', 'upper_arms', 'forearms', 'hips', 'glutes', 'thigh_front', 'thigh_back', 'thigh_inner', 'calves', 'shins', 'feet'];
  for (const count of [4, 5, regions.length]) {
    const own = new Home(program);
    nine.fill(own, regions.slice(-count).map((region, place) => `${region}=${1 + place % 3}`).join(','));
    await own.start();
    const page = await signIn(browser, own);
    await page.goto(`${own.base}/weeks?block=1`);
    t.same(await pagesOf(page), 1, `nine weeks with ${count} regions sore print on one page`);
    await page.emulateMedia({ media: 'print' });
    const rows = page.locator('section:has(> #sore) tbody tr');
    const seen = await rows.evaluateAll((all) => all.filter((row) => row.querySelector('th').offsetHeight > 0 && row.querySelector('td').offsetHeight > 0).length);
    t.same(seen, count, 'each with its mornings');
    await page.emulateMedia({ media: 'screen' });
    t.same(await rows.first().locator('td').evaluateAll((cells) => cells.filter((cell) => cell.offsetHeight > 0).length), nine.WEEKS + 1, 'and on the screen with its weeks');
    await own.end();
  }
}

async function nothing({ browser, program, t }) {
  const own = new Home(program, { 'settings.toml': eveningSettings(6, 9) });
  await own.start();
  const page = await signIn(browser, own);
  await page.goto(`${own.base}/weeks`);
  t.check(/No night, session or wind-down was recorded/.test(await page.textContent('main')), 'without records nothing is made up');
  t.same(await page.locator('section:has(> #sleep), section:has(> #bands), section:has(> #compared)').count(), 0, 'and nothing stands empty');
  await own.end();
}
