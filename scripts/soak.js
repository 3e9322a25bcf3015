/**
 * `npm run soak`: the long trials of the server, `tests/soak/*.soak.ts`, one after the other; with a name,
 * those whose file name contains it.
 *
 *     npm run soak -- [name] [--minutes N] [--seconds N] [--trials N]
 *
 * `--minutes` is the length of the trial of memory (15), `--seconds` that of the viewers (60), `--trials` the
 * number of kills (50).
 */
import { parseArgs } from 'node:util'
import { main, runTool, ScriptError, setUp } from './setup.js'

const text = /** @type {const} */ ({ type: 'string' })

await main(async () => {
  const { values, positionals } = parseArgs({
    allowPositionals: true,
    options: { minutes: text, seconds: text, trials: text },
  })
  for (const [name, value] of Object.entries(values)) {
    if (!(Number(value) > 0)) throw new ScriptError(`--${name} ${value}: a number greater than 0`)
    process.env[`SOAK_${name.toUpperCase()}`] = value
  }
  await setUp()
  return runTool('vitest', 'vitest', ['run', '--config', 'tests/soak/vitest.config.ts', ...positionals])
})
