// Nine weeks of an invented person that end this week: a block of three phases, mornings with times, ratings
// and sore places, sessions with counted rounds, evenings declined, and a comparison of two evenings.
const { day } = require('./views.cjs');

const WEEKDAYS = ['sun', 'mon', 'tue', 'wed', 'thu', 'fri', 'sat'];
const WEEKS = 9;

/** The same numbers every time: a linear congruential sequence, 0 to 1. */
function sequence(seed) {
  let state = seed;
  return () => { state = (state * 1664525 + 1013904223) % 4294967296; return state / 4294967296; };
}

const weekdayOf = (ago) => new Date(Date.now() - ago * 86400000).getUTCDay();
const clock = (minutes) => `${String(Math.floor(minutes / 60) % 24).padStart(2, '0')}:${String(minutes % 60).padStart(2, '0')}`;

/** Settings and block; the block began eight weeks before this week's Monday. */
function files() {
  const first = ((new Date().getUTCDay() + 6) % 7) + 7 * (WEEKS - 1);
  const phase = (name) => `[[phase]]\nname = "${name}"\nweeks = 3\n[phase.week]\nmon = "legs"\ntue = "pull"\nwed = "rest"\nthu = "legs"\nfri = "pull"\nsat = "climb"\nsun = "rest"\n`;
  const session = (id, title, [rpe, minutes], regions, part) => `[session.${id}]\ntitle = "${title}"\nrpe = ${rpe}\nminutes = ${minutes}\nregions = { ${regions} }\n[[session.${id}.part]]\n${part}\n`;
  return {
    first,
    settings: 'timezone = "Etc/UTC"\nborn = 1991\n[nights]\nbedtime = "22:30"\nwake = "06:30"\nfri = { bedtime = "23:15", wake = "07:45" }\nsat = { bedtime = "23:15", wake = "07:45" }\nalarm_days = ["mon", "tue", "wed", "thu", "fri"]\n',
    block: `name = "Stair-climb preparation"\nstarts = ${day(first)}\n${['Groundwork', 'Build', 'Peak'].map(phase).join('')}`
      + session('legs', 'Legs and lungs', [8, 28], 'thigh_front = 3, glutes = 2, calves = 2', 'kind = "intervals"\ntitle = "Step-ups"\nrounds = 8\nwork = 20\nrest = 10')
      + session('pull', 'Pull', [7, 38], 'upper_back = 3, forearms = 2', 'kind = "sets"\ntitle = "Rows"\nsets = 4\nreps = 10')
      + session('climb', 'Long climb', [6, 55], 'calves = 3, thigh_front = 2', 'kind = "steady"\ntitle = "Stairs"\nminutes = 50'),
  };
}

/** @param soreIn what was sore on five mornings */
function fill(home, soreIn = 'calves=2,thigh_front=1') {
  const { first, settings, block } = files();
  home.write('settings.toml', settings);
  home.write('block.toml', block);
  const random = sequence(7);
  const mornings = ['night,into_bed,lights_out,asleep_after_min,wakings,awake_for_min,woke,up,sleep_min,sleep_quality,freshness,soreness,mood,note'];
  const sessions = ['date,session,minutes,rpe,note'];
  const sessionOf = { mon: ['legs', 24, 8], tue: ['pull', 35, 7], thu: ['legs', 26, 8], fri: ['pull', 34, 7], sat: ['climb', 52, 6] };
  for (let ago = first; ago >= 1; ago -= 1) {
    const weekday = WEEKDAYS[weekdayOf(ago)];
    const late = weekday === 'fri' || weekday === 'sat';
    if (random() > 0.06) {
      const bed = (late ? 1395 : 1350) + Math.round(random() * 40 - 20);
      const woke = (late ? 465 : 390) + Math.round(random() * 30 - 15);
      const rated = [0, 0, 0, 0].map(() => Math.min(5, Math.max(1, Math.round(2.2 + random() * 2))));
      const sleep = Math.round(5 + random() * 30);
      const evening = (minutes) => (minutes >= 1440 ? `${day(ago - 1)}T${clock(minutes - 1440)}` : `${day(ago)}T${clock(minutes)}`);
      mornings.push(`${day(ago)},${evening(bed - 10)},${evening(bed)},${sleep},1,6,${day(ago - 1)}T${clock(woke)},${day(ago - 1)}T${clock(woke + 10)},,${rated.join(',')},`);
    }
    const planned = sessionOf[weekday];
    if (planned && ago !== first - 21 && ago !== first - 42 && random() > 0.08) sessions.push(`${day(ago)},${planned[0]},${planned[1] + Math.round(random() * 6)},${planned[2] - Math.round(random())},`);
  }
  home.write('mornings.csv', `${mornings.join('\n')}\n`);
  home.write('sessions.csv', `${sessions.join('\n')}\n`);
  home.run('import', `${home.folder}/mornings.csv`);
  home.run('import', `${home.folder}/sessions.csv`);
  const legs = (ago, counts) => home.run('--at', `${day(ago)}T19:00`, 'train', '--session', 'legs', '--minutes', '25', '--rpe', '8', '--reps', `Step-ups=${counts}`);
  legs(first - 21, '9,9,9,9,8,8,8,8');
  legs(first - 42, '11,11,10,10,10,9,9,9');
  for (const ago of [5, 9, 12, 20, 33]) home.run('--at', `${day(ago)}T08:00`, 'morning', '--night', day(ago + 1), '--sleep', '3', '--sore', '2', '--sore-in', soreIn);
  for (const ago of [4, 13, 27]) home.run('--at', `${day(ago)}T21:55`, 'not-tonight');
  for (const ago of [6, 7, 8, 10, 11, 15, 16]) home.run('--at', `${day(ago)}T22:02`, 'follow', '--plain', '--pace', '1000', '--record');
  home.run('--at', `${day(30)}T12:00`, 'compare', 'plan', '--a', 'very_short', '--b', 'none', '--outcome', 'minutes_to_fall_asleep', '--seed', '3');
}

module.exports = { fill, WEEKS };
