/**
 * `npm run evaluate [-- --seeds 25 --healthy 500]`: how well the analysis finds what the simulator built
 * in. Prints the tables and writes them to `docs/evaluation.md`. With `--only oil,boost` (parts of
 * scenarios' names) or `--first 1` (where seeds begin; those below 1000 are for tuning) it only prints.
 */
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { loadConfigFromFile, runnerImport } from 'vite'
import { install, main, ROOT, ScriptError, say } from './setup.js'

const PAGE = 'docs/evaluation.md'

await main(async () => {
  const { values } = parseArgs({
    options: {
      seeds: { type: 'string', default: '25' },
      healthy: { type: 'string', default: '500' },
      only: { type: 'string' },
      first: { type: 'string' },
    },
  })
  const only = values.only?.split(',')
  await install()
  // The same sources, found by the same names, as in the tests: nothing has to be compiled first.
  const loaded = await loadConfigFromFile({ command: 'serve', mode: 'test' }, join(ROOT, 'vitest.config.ts'))
  const { module } = await runnerImport(join(ROOT, 'tests/evaluate/evaluate.ts'), {
    root: ROOT,
    configFile: false,
    logLevel: 'error',
    resolve: loaded?.config.resolve ?? {},
  })
  const begun = performance.now()
  const { faulty, page } = await module.evaluate({
    seeds: count('seeds', values.seeds),
    healthy: count('healthy', values.healthy),
    ...(only === undefined ? {} : { only }),
    ...(values.first === undefined ? {} : { firstSeed: count('first', values.first) }),
    onRun: progress,
  })
  process.stdout.write(page)
  say(`${((performance.now() - begun) / 1000).toFixed(0)} s`)
  if (only === undefined && values.first === undefined) {
    writeFileSync(join(ROOT, PAGE), page)
    say(`wrote ${PAGE}`)
  }
  return faulty.some((/** @type {{ wrongAndSure: boolean }} */ { wrongAndSure }) => wrongAndSure) ? 1 : 0
})

/**
 * @param {string} name
 * @param {string} word
 */
function count(name, word) {
  if (!/^\d+$/.test(word)) throw new ScriptError(`--${name} ${word}: a whole number is needed.`, 2)
  return Number(word)
}

/**
 * A line for each run that is not as it should be, and now and then how far it is.
 *
 * @param {any} outcome
 * @param {number} done
 * @param {number} of
 */
function progress({ draw, cause, shows, first, rank, wrongAndSure, fails, cautions }, done, of) {
  const { scenario, options } = draw
  const answer = first === null ? 'nothing' : `${first.id} (${first.confidence ?? 'a check'})`
  if (cause === 'none' ? fails.length + cautions.length > 0 : shows ? rank !== 1 : wrongAndSure) {
    say(
      `${scenario} ${JSON.stringify(options)}: ${answer}${cause === 'none' ? `: ${[...fails, ...cautions].join(', ')}` : ''}`,
    )
  }
  if (done % 50 === 0) say(`${done} of ${of}`)
}
