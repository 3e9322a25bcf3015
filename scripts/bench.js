/**
 * `npm run bench`: the benches `tests/bench/*.bench.js`, one after the other, each in a process of its own.
 * With an argument, those whose file name contains it.
 */
import { readdirSync } from 'node:fs'
import { join } from 'node:path'
import { main, ROOT, runNode, ScriptError, say, setUp } from './setup.js'

const FOLDER = 'tests/bench'

await main(async () => {
  const [filter = ''] = process.argv.slice(2)
  const all = readdirSync(join(ROOT, FOLDER)).filter((name) => name.endsWith('.bench.js'))
  const benches = all.filter((name) => name.includes(filter)).sort()
  if (benches.length === 0)
    throw new ScriptError(`${FOLDER} holds no bench${filter && ` with '${filter}' in its name`}.`)

  await setUp()
  let failed = 0
  for (const bench of benches) {
    say(`bench ${bench}`)
    const code = await runNode(`${FOLDER}/${bench}`)
    failed ||= code
  }
  return failed
})
