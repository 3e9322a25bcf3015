/**
 * `npm start`: what a demo recording says, then the server with the viewer and all demo recordings, until
 * Ctrl+C. What is behind `--` goes to `firstcrank serve`: `npm start -- --port 9000`.
 */
import { captureNode, exists, main, runNode, ScriptError, setUp } from './setup.js'

const COMMAND = 'apps/cli/bin/firstcrank.js'
const SAMPLES = 'sample-logs'
/** The one that a person must not overlook. */
const DEMO = `${SAMPLES}/blocked-oil-hose.log`
/** What is written to runs, and what is uploaded, stays with this checkout where nothing else is said; git ignores it. */
const LIBRARY = ['--library', '.firstcrank']
/** Paragraphs of the report that are its short form: title, verdict, answers. */
const SHORT = 2

await main(async () => {
  await setUp()
  if (!exists(DEMO)) throw new ScriptError(`There is no ${DEMO} in this checkout.`)
  const { code, output } = await captureNode(COMMAND, ['check', DEMO])
  if (code !== 0) throw new ScriptError(output.trim(), code)
  const short = output.split('\n\n').slice(0, SHORT).join('\n\n')
  process.stdout.write(`\n$ firstcrank check ${DEMO}\n\n${short}\n...\n\n`)
  const asked = process.argv.slice(2)
  const library = asked.some((word) => /^--library\b/.test(word)) ? [] : LIBRARY
  try {
    return await runNode(COMMAND, ['serve', SAMPLES, '--open', ...library, ...asked])
  } catch (error) {
    // Stopped by a person, as it is meant to be.
    if (error instanceof ScriptError) return 0
    throw error
  }
})
