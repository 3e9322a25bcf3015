/**
 * `npm run check`: format, lint, types, the dependency rule, and the packages as they would be published.
 * Every step runs; what a failed one printed is shown, and the failed ones are named at the end.
 */
import { captureNode, captureTool, compilerArguments, foldersIn, install, main, readJson, say } from './setup.js'

/** @typedef {{ name: string, run: () => Promise<{ code: number, output: string }> }} Step */

/** @type {readonly Step[]} */
const SOURCES = [
  {
    name: 'format and lint',
    run: () => captureTool('@biomejs/biome', 'biome', ['check', '--error-on-warnings', '.']),
  },
  { name: 'types', run: () => captureTool('typescript', 'tsc', compilerArguments(['.'])) },
  { name: 'types of the scripts', run: () => captureTool('typescript', 'tsc', ['-p', 'scripts']) },
  { name: 'dependency rule', run: () => captureNode('scripts/check-imports.js', []) },
  { name: 'generated files', run: () => captureNode('scripts/generate.js', ['--check']) },
]

/**
 * The steps for a package as it would be published.
 *
 * @param {string} folder
 * @returns {readonly Step[]}
 */
function packageSteps(folder) {
  // Data files have no types to be wrong.
  const data = Object.keys(readJson(`${folder}/package.json`).exports).filter((entry) => entry.endsWith('.json'))
  const exclude = data.length > 0 ? ['--exclude-entrypoints', ...data] : []
  const attw = ['--pack', folder, '--profile', 'esm-only', '--no-definitely-typed', ...exclude]
  return [
    { name: `publint ${folder}`, run: () => captureTool('publint', 'publint', ['run', folder, '--strict']) },
    { name: `attw ${folder}`, run: () => captureTool('@arethetypeswrong/cli', 'attw', attw) },
  ]
}

await main(async () => {
  await install()
  const published = foldersIn('packages').filter((folder) => !readJson(`${folder}/package.json`).private)
  const failed = []
  for (const { name, run } of [...SOURCES, ...published.flatMap(packageSteps)]) {
    const begun = performance.now()
    const { code, output } = await run()
    const seconds = ((performance.now() - begun) / 1000).toFixed(1)
    if (code !== 0) {
      process.stdout.write(output)
      failed.push(name)
    }
    say(`${code === 0 ? 'ok     ' : 'FAILED '} ${name} (${seconds} s)`)
  }
  say(failed.length === 0 ? 'check passed' : `check failed: ${failed.join(', ')}`)
  return failed.length === 0 ? 0 : 1
})
