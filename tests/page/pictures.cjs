#!/usr/bin/env node
// Pictures of the views for packaging/doc. usage: NODE_PATH=... node tests/page/pictures.cjs PROGRAM FOLDER
const path = require('path');
const { Home, eveningSettings, signIn, withBrowser } = require('./harness.cjs');
const VIEWS = require('./views.cjs');

const DESK = { viewport: { width: 1280, height: 800 } };
const TELEPHONE = { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true };
/** File, view of views.cjs, size, and the element above which the picture ends. */
const PICTURES = [
  ['page-tonight', 'tonight', DESK],
  ['page-tonight-phone', 'tonight', TELEPHONE],
  ['page-follow-stretch', 'follow, stretching', DESK],
  ['page-follow-stretch-phone', 'follow, stretching', TELEPHONE],
  ['page-follow-breath', 'follow, breathing', DESK],
  ['page-follow-breath-phone', 'follow, breathing', TELEPHONE],
  ['page-morning', 'morning', DESK],
  ['page-morning-phone', 'morning', TELEPHONE],
  ['page-morning-sore-phone', 'morning, sore places', TELEPHONE],
  ['page-pain', 'pain', DESK],
  ['page-today', 'today', DESK],
  ['page-today-phone', 'today', TELEPHONE],
  // Below it stands where this home happens to be.
  ['page-settings', 'settings', DESK, '#in-file'],
];

const [program, folder] = process.argv.slice(2);
if (!folder) { console.error('usage: pictures.cjs PROGRAM FOLDER'); process.exit(2); }

withBrowser(async (browser) => {
  const home = new Home(path.resolve(program), { 'settings.toml': eveningSettings(8) });
  VIEWS.fill(home);
  VIEWS.furnish(home);
  await home.start();
  for (const [file, name, size, until] of PICTURES) {
    const view = VIEWS.list.find((one) => one.name === name);
    const page = await signIn(browser, home, size);
    await page.goto(home.base + view.path);
    if (view.prepare) await view.prepare(page);
    const isStage = name.startsWith('follow, ');
    if (!isStage) {
      // As high as the page, so that what sticks to the lower edge is at the end.
      const height = await page.evaluate((end) => (end ? document.querySelector(end).getBoundingClientRect().top + scrollY : document.documentElement.scrollHeight), until);
      await page.setViewportSize({ ...size.viewport, height: Math.ceil(height) });
    }
    await page.screenshot({ path: path.join(folder, `${file}.png`) });
    await page.context().close();
  }
  await home.end();
}).catch((error) => { console.error(error); process.exit(1); });
