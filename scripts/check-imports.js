/**
 * The dependency rule: who may import whom. Type-only imports count; tests may import anything.
 *
 *     node scripts/check-imports.js [folder]
 *
 * Prints one line for each import that breaks the rule, and exits with 1 if there is any.
 */
import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { dirname, join, posix } from 'node:path'
import { fileURLToPath } from 'node:url'

const decoder = 'packages/decoder/src'
const log = `${decoder}/log`
const bus = `${decoder}/bus`
const catalog = `${decoder}/catalog`
const signal = `${decoder}/signal`
const diagnostics = `${decoder}/diagnostics`
const recording = `${decoder}/recording`
const viewer = 'apps/viewer/src'

/**
 * For each folder: the folders, packages and `node:` that its files may import, beside one another.
 * Where a folder's parts have rows of their own, its row is for the files directly in it.
 *
 * @type {Readonly<Record<string, readonly string[]>>}
 */
const MAY_IMPORT = {
  [log]: [],
  [bus]: [],
  [catalog]: [log, bus],
  [signal]: [log, bus, catalog],
  [diagnostics]: [log, bus, catalog, signal],
  [recording]: [log, bus, catalog, signal, diagnostics],
  [decoder]: [log, bus, catalog, signal, diagnostics, recording],
  'packages/definitions/src': ['@firstcrank/decoder', 'zod'],
  'packages/simulator/src': ['@firstcrank/decoder'],
  'packages/analysis/src': ['@firstcrank/decoder', '@firstcrank/definitions', 'zod'],
  'packages/feed/src': ['@firstcrank/decoder', 'zod'],
  'apps/server/src': [
    '@firstcrank/decoder',
    '@firstcrank/definitions',
    '@firstcrank/analysis',
    '@firstcrank/feed',
    'express',
    'helmet',
    'hyparquet-writer',
    'libsql',
    'pino',
    'ws',
    'zod',
    'zod-openapi',
    'node:',
  ],
  [`${viewer}/words`]: ['@firstcrank/analysis', '@firstcrank/feed'],
  [`${viewer}/state`]: ['@firstcrank/decoder', '@firstcrank/analysis', 'preact'],
  [`${viewer}/recording`]: [
    '@firstcrank/decoder',
    '@firstcrank/analysis',
    '@firstcrank/feed',
    'preact',
    `${viewer}/state`,
  ],
  [`${viewer}/charts`]: ['@firstcrank/feed', 'uplot', `${viewer}/state`],
  [`${viewer}/parts`]: [
    '@firstcrank/decoder',
    '@firstcrank/analysis',
    '@firstcrank/feed',
    '@tanstack/virtual-core',
    '@zag-js/combobox',
    '@zag-js/preact',
    'preact',
    `${viewer}/words`,
    `${viewer}/state`,
    `${viewer}/recording`,
    `${viewer}/charts`,
  ],
  [`${viewer}/pages`]: [
    '@firstcrank/analysis',
    '@firstcrank/feed',
    '@zag-js/preact',
    '@zag-js/tabs',
    'preact',
    `${viewer}/words`,
    `${viewer}/state`,
    `${viewer}/recording`,
    `${viewer}/charts`,
    `${viewer}/parts`,
  ],
  [viewer]: [
    'preact',
    `${viewer}/words`,
    `${viewer}/state`,
    `${viewer}/recording`,
    `${viewer}/parts`,
    `${viewer}/pages`,
  ],
  'apps/cli/src': [
    '@firstcrank/decoder',
    '@firstcrank/definitions',
    '@firstcrank/simulator',
    '@firstcrank/analysis',
    '@firstcrank/server',
    'uqr',
    'node:',
  ],
}

/** Static imports and re-exports begin a line, as the formatter writes them; dynamic ones stand anywhere. */
const IMPORTS = [
  /^import\s*['"](.+?)['"]/gm,
  /^(?:import|export)\b[\w$\s,*{}]*\bfrom\s*['"](.+?)['"]/gm,
  /\bimport\(\s*['"`](.+?)['"`]/gm,
]

const root = process.argv[2] ?? fileURLToPath(new URL('..', import.meta.url))
const broken = ['packages', 'apps'].flatMap(sourceFiles).flatMap(checkFile)
for (const line of broken) console.error(line)
process.exitCode = broken.length === 0 ? 0 : 1

/**
 * Paths of the sources below `packages` or `apps`, without tests.
 *
 * @param {string} top
 * @returns {string[]}
 */
function sourceFiles(top) {
  if (!existsSync(join(root, top))) return []
  return readdirSync(join(root, top)).flatMap((name) => {
    const src = `${top}/${name}/src`
    if (!existsSync(join(root, src))) return []
    const paths = readdirSync(join(root, src), { recursive: true, encoding: 'utf8' })
    return paths
      .map((path) => `${src}/${path.replaceAll('\\', '/')}`)
      .filter((path) => /\.[cm]?[jt]sx?$/.test(path) && !/\.test\.\w+$/.test(path))
      .sort()
  })
}

/**
 * One line for each import of a file that breaks the rule.
 *
 * @param {string} file
 * @returns {string[]}
 */
function checkFile(file) {
  const area = areaOf(file)
  if (area === undefined) return [`${file}: its folder has no row in scripts/check-imports.js`]
  const text = readFileSync(join(root, file), 'utf8')
  return IMPORTS.flatMap((pattern) => [...text.matchAll(pattern)]).flatMap((match) => {
    const specifier = match[1] ?? ''
    const target = targetOf(file, specifier)
    if (target === area || MAY_IMPORT[area]?.includes(target)) return []
    const line = text.slice(0, match.index).split('\n').length
    return [`${file}:${line}: ${area} may not import '${specifier}'`]
  })
}

/**
 * What an import reaches, in the words of the table.
 *
 * @param {string} file that imports
 * @param {string} specifier
 */
function targetOf(file, specifier) {
  if (specifier.startsWith('.')) {
    const path = posix.join(dirname(file), specifier)
    return areaOf(path) ?? path
  }
  if (specifier.startsWith('node:')) return 'node:'
  const parts = specifier.split('/')
  return parts.slice(0, specifier.startsWith('@') ? 2 : 1).join('/')
}

/**
 * The row a file falls under: that of the closest folder above it.
 *
 * @param {string} file
 * @returns {string | undefined}
 */
function areaOf(file) {
  const folders = Object.keys(MAY_IMPORT)
  const [closest] = folders.filter((folder) => file.startsWith(`${folder}/`)).sort((a, b) => b.length - a.length)
  const hasParts = folders.some((folder) => folder.startsWith(`${closest}/`))
  return hasParts && dirname(file) !== closest ? undefined : closest
}
