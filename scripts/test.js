/** `npm test`: all tests, or those the arguments name (`npm test -- identifier`). */
import { main, runTool, setUp } from './setup.js'

await main(async () => {
  await setUp()
  return runTool('vitest', 'vitest', ['run', ...process.argv.slice(2)])
})
