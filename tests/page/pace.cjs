// Plays what the program's own player played, with the page's player, and compares every answer.
// Reads {timeline, second_inhale, pace, operations: [{do, now, position, index, played, state}], volumes: [[at, volume]]} cases on standard input.
const path = require('path');

(async () => {
  const { Player, Trace } = await import(path.join(__dirname, '../../src/shell/page/assets/pace.mjs'));
  const cases = JSON.parse(require('fs').readFileSync(0, 'utf8'));
  let compared = 0;
  const near = (what, got, wanted) => {
    compared += 1;
    const same = typeof wanted === 'number' ? Math.abs(got - wanted) < 1e-3 : got === wanted;
    if (!same) throw new Error(`${what}: ${got} instead of ${wanted}`);
  };
  cases.forEach((one, number) => {
    const timeline = { total: one.timeline.total_ms, cues: one.timeline.cues.map(([at, length, kind, step, breath]) => ({ at, length, kind, step, breath })) };
    const player = new Player(timeline, one.pace);
    one.operations.forEach(({ do: what, now, ...after }, step) => {
      if (what === 'tick') player.tick(now); else player[what](now);
      const place = `case ${number}, operation ${step} (${what} at ${now})`;
      near(`${place}: position`, player.position(now), after.position);
      near(`${place}: cue`, player.index(player.position(now)), after.index);
      near(`${place}: played`, player.playedMs(now), after.played);
      near(`${place}: state`, player.state, after.state);
    });
    const trace = new Trace(timeline, one.second_inhale);
    for (const [at, volume] of one.volumes) {
      const got = trace.volume(at);
      compared += 1;
      if (volume === null ? got !== null : got === null || Math.abs(got - volume) > 1e-9) throw new Error(`case ${number}: volume at ${at}: ${got} instead of ${volume}`);
    }
  });
  console.log(`${compared} compared`);
})().catch((error) => { console.error(error.message); process.exit(1); });
