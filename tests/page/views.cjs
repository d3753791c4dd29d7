// The views that are judged, and a home with something to show in them.

/** Begins, unless the tab goes on by itself. */
const begin = async (page) => { if (await page.isVisible('#begin')) await page.click('#begin'); };

const list = [
  { name: 'tonight', path: '/' },
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
];

function fill() {}

module.exports = { list, fill };
