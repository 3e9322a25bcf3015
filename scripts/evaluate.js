/**
 * `npm run evaluate [-- causes|repairs]`: how well the analysis finds what the simulator built in, and how
 * well a comparison grades a repair. Without a word it makes both parts. Prints them and writes them to
 * `docs/evaluation.md`.
 *
 * - `--seeds 25` runs of each scenario with something wrong, `--healthy 500` runs without
 * - `--pairs 50` seeds of each kind of pair
 * - `--only oil,boost` (parts of names) and `--first 1` (where seeds begin; those below 1000 are for
 *   tuning): then it only prints
 */
import { existsSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { loadConfigFromFile, runnerImport } from 'vite'
import { install, main, ROOT, ScriptError, say } from './setup.js'

const PAGE = join(ROOT, 'docs/evaluation.md')

await main(async () => {
  const { values, positionals } = parseArgs({
    allowPositionals: true,
    options: {
      seeds: { type: 'string', default: '25' },
      healthy: { type: 'string', default: '500' },
      pairs: { type: 'string', default: '50' },
      only: { type: 'string' },
      first: { type: 'string' },
    },
  })
  const { PARTS, withPart } = await load('page')
  const strange = positionals.find((word) => !PARTS.includes(word))
  if (strange !== undefined) throw new ScriptError(`${strange}: there are ${PARTS.join(' and ')}.`, 2)
  const common = {
    ...(values.only === undefined ? {} : { only: values.only.split(',') }),
    ...(values.first === undefined ? {} : { firstSeed: count('first', values.first) }),
  }
  await install()
  let wrong = false
  for (const name of positionals.length > 0 ? positionals : PARTS) {
    const begun = performance.now()
    const made = name === 'causes' ? await causes(values, common) : await repairs(values, common)
    wrong ||= made.wrong
    process.stdout.write(made.part)
    say(`${name}: ${((performance.now() - begun) / 1000).toFixed(0)} s`)
    if (Object.keys(common).length > 0) continue
    writeFileSync(PAGE, withPart(existsSync(PAGE) ? readFileSync(PAGE, 'utf8') : '', name, made.part))
    say('wrote docs/evaluation.md')
  }
  return wrong ? 1 : 0
})

/**
 * @param {{ seeds: string, healthy: string }} values
 * @param {object} common
 */
async function causes(values, common) {
  const { evaluate } = await load('evaluate')
  const { faulty, part } = await evaluate({
    ...common,
    seeds: count('seeds', values.seeds),
    healthy: count('healthy', values.healthy),
    onRun: causeProgress,
  })
  return { part, wrong: faulty.some((/** @type {{ wrongAndSure: boolean }} */ { wrongAndSure }) => wrongAndSure) }
}

/**
 * @param {{ pairs: string }} values
 * @param {object} common
 */
async function repairs(values, common) {
  const { evaluatePairs } = await load('pairs')
  const { outcomes, part } = await evaluatePairs({
    ...common,
    seeds: count('pairs', values.pairs),
    onPair: pairProgress,
  })
  return { part, wrong: outcomes.some((/** @type {{ wronglyProved: boolean }} */ { wronglyProved }) => wronglyProved) }
}

/**
 * A module of the evaluation, with the same sources found by the same names as in the tests: nothing has
 * to be compiled first.
 *
 * @param {string} name
 */
async function load(name) {
  const loaded = await loadConfigFromFile({ command: 'serve', mode: 'test' }, join(ROOT, 'vitest.config.ts'))
  const { module } = await runnerImport(join(ROOT, `tests/evaluate/${name}.ts`), {
    root: ROOT,
    configFile: false,
    logLevel: 'error',
    resolve: loaded?.config.resolve ?? {},
  })
  return module
}

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
function causeProgress({ draw, cause, shows, first, rank, wrongAndSure, fails, cautions }, done, of) {
  const { scenario, options } = draw
  const answer = first === null ? 'nothing' : `${first.id} (${first.confidence ?? 'a check'})`
  if (cause === 'none' ? fails.length + cautions.length > 0 : shows ? rank !== 1 : wrongAndSure) {
    say(
      `${scenario} ${JSON.stringify(options)}: ${answer}${cause === 'none' ? `: ${[...fails, ...cautions].join(', ')}` : ''}`,
    )
  }
  if (done % 50 === 0) say(`${done} of ${of}`)
}

/**
 * A line for each pair whose grade is not right, and now and then how far it is.
 *
 * @param {any} outcome
 * @param {number} done
 * @param {number} of
 */
function pairProgress({ pair, seed, isRight, grades, why }, done, of) {
  if (!isRight) say(`${pair} ${seed}: ${grades.join(', ') || 'no fault'}: ${why}`)
  if (done % 50 === 0) say(`${done} of ${of}`)
}
