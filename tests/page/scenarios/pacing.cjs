// How late the cues of the breath are over two minutes: words on the screen, and tones on the audio clock.
const { Home, eveningSettings, eventually, signIn, sleep } = require('../harness.cjs');

const SECONDS = Number(process.env.PACING_SECONDS || 125);
const share = (sorted, part) => sorted[Math.min(sorted.length - 1, Math.ceil(sorted.length * part) - 1)];

module.exports = async ({ browser, program, t }) => {
  // Three minutes are breathing only; a cue a second gives enough of them for a hundredth to mean something.
  const home = new Home(program, {
    'settings.toml': eveningSettings(3).replace('[evening]', '[evening]\nholds = true\npattern = "measured"'),
    'routines/patterns/measured.toml': 'name = "Measured"\ninhale = 1\nhold = 1\nexhale = 1\nhold_out = 1\nabout = "Short breaths for a measurement."\n',
  });
  await home.start();
  const page = await signIn(browser, home);
  await page.goto(`${home.base}/follow`);
  await page.click('#begin');
  await sleep(SECONDS * 1000);
  const { cues, tones, moments } = await page.evaluate(() => ({
    cues: performance.getEntriesByName('cue').map((mark) => mark.detail),
    tones: performance.getEntriesByName('tone').map((mark) => mark.detail),
    moments: performance.getEntriesByName('cue').map((mark) => mark.startTime),
  }));
  const late = cues.map((cue) => cue.late).sort((a, b) => a - b);
  t.check(late.length > SECONDS - 5, `${late.length} cues were measured`, String(late.length));
  const p99 = share(late, 0.99);
  t.say(`cues: median ${share(late, 0.5).toFixed(2)} ms, p99 ${p99.toFixed(2)} ms, latest ${late[late.length - 1].toFixed(2)} ms late`);
  t.check(p99 < 20, 'the breath cues are less than 20 ms late (p99)', `${p99} ms`);
  t.check(late[0] > -1, 'no cue comes early', `${late[0]} ms`);
  // Against the first cue nothing accumulates.
  const drift = moments[moments.length - 1] - moments[0] - (cues.length - 1) * 1000;
  t.check(Math.abs(drift) < 50, 'and nothing accumulates', `${drift} ms`);
  const behind = tones.map((tone) => tone.late).sort((a, b) => a - b);
  const ahead = tones.map((tone) => tone.ahead).sort((a, b) => a - b);
  t.say(`tones: ${tones.length}, handed over ${ahead[0].toFixed(0)} to ${ahead[ahead.length - 1].toFixed(0)} ms ahead, latest ${behind[behind.length - 1].toFixed(2)} ms late`);
  t.check(tones.length >= late.length - 1, 'every cue has its tone', `${tones.length} tones for ${late.length} cues`);
  t.check(share(behind, 0.99) < 1, 'the tones are on the audio clock before they are due', `${share(behind, 0.99)} ms`);
  await page.keyboard.press('Space');
  await eventually('the pause', async () => await page.getAttribute('#follow', 'data-state') === 'paused');
  const count = await page.evaluate(() => performance.getEntriesByName('tone').length);
  await sleep(4000);
  t.same(await page.evaluate(() => performance.getEntriesByName('tone').length), count, 'no tone in a pause');
  await home.end();
};
