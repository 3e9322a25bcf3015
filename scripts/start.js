/** `npm start`: what is in the demo recording, printed by the command. */
import { exists, main, runNode, ScriptError, setUp } from './setup.js'

const DEMO = 'sample-logs/clean-first-start.log.gz'
const COMMAND = 'apps/cli/bin/firstcrank.js'

const NEXT = `
Try next:
  npx firstcrank decode ${DEMO} --spn 190
  npx firstcrank explain 0CF00400 FFFFFF6813FFFFFF
  npx firstcrank summary <your own candump log>
  npx firstcrank --help
`

await main(async () => {
  await setUp()
  for (const file of [COMMAND, DEMO]) {
    if (!exists(file)) throw new ScriptError(`There is no ${file} in this checkout.`)
  }
  for (const command of ['summary', 'faults']) {
    process.stdout.write(`\n$ firstcrank ${command} ${DEMO}\n\n`)
    const code = await runNode(COMMAND, [command, DEMO])
    if (code !== 0) return code
  }
  process.stdout.write(NEXT)
  return 0
})
