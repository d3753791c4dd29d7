// Without script: every view is there and every form works; the guided part says what to do instead.
const { Home, eveningSettings, signIn } = require('../harness.cjs');
const VIEWS = require('../views.cjs');

module.exports = async ({ browser, program, t }) => {
  const home = new Home(program, { 'settings.toml': eveningSettings(8, 9) });
  VIEWS.fill(home);
  await home.start();
  const page = await signIn(browser, home, { javaScriptEnabled: false });
  const goes = async (path) => (await page.goto(home.base + path)).status();
  for (const { name, path } of VIEWS.list.filter((view) => !view.prepare && !view.missing)) t.same(await goes(path), 200, `${name}: there without script`);
  await goes('/morning');
  t.check(await page.isHidden('#body'), 'the body outline, which needs script, is not shown');
  for (const item of ['sleep_quality', 'freshness', 'soreness', 'mood']) await page.click(`label:has(input[name="${item}"][value="4"])`);
  await page.click('#where summary');
  await page.selectOption('#sore_calves', '1');
  await page.fill('#woke', '6.40');
  await page.click('#morning button.first');
  const shown = home.json('morning', '--show');
  t.same(shown.ratings, { sleep_quality: 4, freshness: 4, soreness: 4, mood: 4 }, 'a morning is recorded');
  await goes('/');
  await page.click('.stretches summary >> nth=0');
  const other = page.locator('.stretches details button').first();
  const name = await other.textContent();
  await other.click();
  t.check((await page.locator('.stretches h3').allTextContents()).includes(name), 'a stretch is swapped');
  await goes('/settings');
  const warned = 'form[action="/settings/block"] noscript p';
  t.check(await page.isVisible(warned) && await page.isHidden('[data-unsaved] >> nth=0'), 'a form that saves alone says so before its button');
  await page.fill('#bedtime', '2245');
  await page.click('form[action="/settings"] button.first');
  t.check(home.read('settings.toml').includes('bedtime = "22:45"'), 'the settings are saved');
  await goes('/follow');
  t.check(await page.isVisible('noscript p') && /Pacing needs script/.test(await page.textContent('noscript p')) && await page.isDisabled('#begin'), 'the guided part says what to do instead');
  t.check(/evenfall routine sound/.test(await page.textContent('#first')), 'and offers the sound');
  await home.end();
};
