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

(async () => {
  const counter = new Counter();
  for (const name of wanted.length ? wanted : all) {
    console.log(`# ${name}`);
    try {
      await withBrowser((browser) => require(path.join(here, `${name}.cjs`))({ browser, program: path.resolve(program), t: counter }));
    } catch (error) {
      counter.check(false, name, error.stack);
    }
  }
  console.log(`${counter.good} passed, ${counter.bad} failed`);
  process.exit(counter.bad || !counter.good ? 1 : 0);
})();
