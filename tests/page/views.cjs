// The views that are judged, and a home with something to show in them.

/** Begins, unless the tab goes on by itself. */
const begin = async (page) => { if (await page.isVisible('#begin')) await page.click('#begin'); };

const list = [
  { name: 'tonight', path: '/' },
  { name: 'tonight, swapping', path: '/', prepare: async (page) => { await page.click('.stretches summary'); } },
  { name: 'follow', path: '/follow' },
  { name: 'follow, stretching', path: '/follow?pace=1', prepare: begin },
  {
    name: 'follow, breathing',
    path: '/follow?pace=1',
    prepare: async (page) => {
      await begin(page);
      for (let n = 0; n < 30 && await page.isHidden('#breath'); n += 1) await page.click('#forth');
      if (await page.getAttribute('#follow', 'data-state') === 'playing') await page.click('#pause');
    },
  },
  { name: 'follow, ending', path: '/follow?pace=1', prepare: async (page) => { await begin(page); await page.click('#end'); } },
  { name: 'morning', path: '/morning' },
  { name: 'morning, sore places', path: '/morning', prepare: async (page) => { await page.evaluate(() => { document.querySelector('#where').open = true; }); } },
  { name: 'pain', path: '/pain' },
  { name: 'today', path: '/today' },
  { name: 'weeks', path: '/weeks' },
  { name: 'weeks, tables', path: '/weeks?block=1', prepare: async (page) => { await page.evaluate(() => { for (const one of document.querySelectorAll('details')) one.open = true; }); } },
  { name: 'settings', path: '/settings' },
  { name: 'settings, all of it', path: '/settings', prepare: async (page) => { await page.evaluate(() => { for (const one of document.querySelectorAll('details')) one.open = true; }); } },
  { name: 'no such page', path: '/nowhere', missing: true },
];

const day = (ago) => new Date(Date.now() - ago * 86400000).toISOString().slice(0, 10);

/** Three weeks of an invented person: a block under way, mornings, sessions, evenings, one painful knee. */
function fill(home) {
  const monday = day(((new Date().getUTCDay() + 6) % 7) + 14);
  home.write('block.toml', `name = "Groundwork for a test"
starts = ${monday}
[[phase]]
name = "Groundwork"
weeks = 4
[phase.week]
${['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'].map((key) => `${key} = "legs"`).join('\n')}
[session.legs]
title = "Legs"
rpe = 7
regions = { thigh_front = 3, glutes = 2, calves = 2 }
[[session.legs.part]]
kind = "intervals"
title = "Step-ups"
rounds = 8
work = 20
rest = 10
`);
  const mornings = ['night,into_bed,lights_out,asleep_after_min,wakings,awake_for_min,woke,up,sleep_min,sleep_quality,freshness,soreness,mood,note'];
  const sessions = ['date,session,minutes,rpe,note'];
  for (let ago = 20; ago >= 1; ago -= 1) {
    if (ago === 9) continue;
    const rated = ago === 1 ? [2, 2, 3, 3] : [3 + (ago % 3 === 0), 3 - (ago % 4 === 0), 3, 3 + (ago % 5 === 0)];
    mornings.push(`${day(ago)},${day(ago)}T22:30,${day(ago)}T22:${30 + (ago % 20)},${5 + ago},${ago % 3},${ago % 3 ? 8 : 0},${day(ago - 1)}T06:${10 + (ago % 40)},${day(ago - 1)}T06:55,,${rated.join(',')},`);
    if (ago % 7 > 1) sessions.push(`${day(ago)},legs,${4 + (ago % 3)},${6 + (ago % 3)},`);
  }
  home.write('mornings.csv', `${mornings.join('\n')}\n`);
  home.write('sessions.csv', `${sessions.join('\n')}\n`);
  home.run('import', `${home.folder}/mornings.csv`);
  home.run('import', `${home.folder}/sessions.csv`);
  home.run('pain', '--in', 'wrist_left', '--level', '4', '--kind', 'sharp');
  home.run('--at', `${day(4)}T21:50`, 'not-tonight');
}

/** Settings with something in every list. */
function furnish(home) {
  home.write('settings.toml', `${home.read('settings.toml')}
[[nights.on]]
date = ${day(-3)}
bedtime = "00:30"
[[nights.on]]
date = ${day(-20)}
timezone = "America/New_York"
[[prompts.own]]
when = "0 30 13 * * Mon-Fri"
text = "Last coffee of the day"
[[prompts.own]]
when = "0 0 9 1 * *"
text = "Look whether the mat needs washing"
`);
}

module.exports = { list, fill, furnish, day };
