#!/usr/bin/env node
// The page in a real browser. usage: NODE_PATH=... node tests/page/run.cjs PROGRAM [scenario...]
const fs = require('fs');
const path = require('path');
const { Counter, withBrowser } = require('./harness.cjs');

const [program, ...wanted] = process.argv.slice(2);
if (!program) { console.error('usage: run.cjs PROGRAM [scenario...]'); process.exit(2); }
const here = path.join(__dirname, 'scenarios');
const all = fs.readdirSync(here).filter((name) => name.endsWith('.cjs')).map((name) => name.slice(0, -4)).sort();
const unknown = wanted.filter((name) => !all.includes(name));
if (unknown.length) { console.error(`no such scenario: ${unknown.join(', ')}. There are: ${all.join(', ')}.`); process.exit(2); }

/** Takes two minutes of waiting, so it runs beside the others ... */
const BESIDE = 'pacing';
/** ... but for this one, which measures times itself. */
const ALONE = 'access';

async function play(name, counter) {
  try {
    await withBrowser((browser) => require(path.join(here, `${name}.cjs`))({ browser, program: path.resolve(program), t: counter }));
  } catch (error) {
    counter.check(false, name, error.stack);
  }
  return counter;
}

(async () => {
  const chosen = wanted.length ? wanted : all;
  const beside = chosen.length > 1 && chosen.includes(BESIDE) ? play(BESIDE, new Counter(`${BESIDE}: `)) : null;
  const counter = new Counter();
  const inTurn = async (names) => { for (const name of names) { console.log(`# ${name}`); await play(name, counter); } };
  await inTurn(chosen.filter((one) => one !== ALONE && !(beside && one === BESIDE)));
  let last = await beside;
  await inTurn(chosen.filter((one) => one === ALONE));
  if (last?.bad) {
    console.log(`# ${BESIDE} once more, alone: the other scenarios may have been in its way`);
    last = await play(BESIDE, new Counter());
  }
  const good = counter.good + (last?.good ?? 0);
  const bad = counter.bad + (last?.bad ?? 0);
  console.log(`${good} passed, ${bad} failed`);
  process.exit(bad || !good ? 1 : 0);
})();
