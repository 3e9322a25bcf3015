/**
 * How much of the catalogue a browser must load, and that a program can take a part of it: entry files
 * are bundled and compressed as they would be for a page.
 */
import { fileURLToPath } from 'node:url'
import { gzipSync } from 'node:zlib'
import { build } from 'vite'
import { describe, expect, it } from 'vitest'

const decoder = (path: string) => fileURLToPath(new URL(`../../packages/decoder/src/${path}`, import.meta.url))
const ENTRY = 'virtual:entry'

interface Bundle {
  readonly code: string
  /** Bytes, compressed. */
  readonly size: number
}

/** Bundles a module with this text, without writing a file. */
async function bundle(text: string): Promise<Bundle> {
  const result = await build({
    configFile: false,
    logLevel: 'silent',
    build: {
      write: false,
      minify: true,
      target: 'es2023',
      rolldownOptions: { input: ENTRY, preserveEntrySignatures: 'strict' },
    },
    plugins: [
      {
        name: 'entry',
        resolveId: (id: string) => (id === ENTRY ? `\0${ENTRY}` : undefined),
        load: (id: string) => (id === `\0${ENTRY}` ? text : undefined),
      },
    ],
  })
  const outputs = [result].flat()
  const code = outputs
    .flatMap((output) => ('output' in output ? output.output : []))
    .map((chunk) => ('code' in chunk ? chunk.code : ''))
    .join('')
  return { code, size: gzipSync(code, { level: 9 }).length }
}

const take = (names: string, from: string) => `export { ${names} } from '${decoder(from)}'\n`
const all = (from: string) => `export * from '${decoder(from)}'\n`

/** A signal of a common group, a light of a rare one, a fault name of no group, a source's title. */
const COMMON = 'Engine coolant temperature'
const LIGHT = 'Rotating beacon light'
const FAULT = 'Network member at source address'
const TITLE = 'J1939 header of the Linux kernel'

/** What is loaded, its limit in bytes (compressed; the whole may take 120,000), what is in it and what is not. */
const PARTS: readonly (readonly [string, string, number, readonly string[], readonly string[]])[] = [
  ['the whole catalogue', all('catalog/index.ts'), 50_000, [COMMON, LIGHT, FAULT, TITLE], []],
  ['every parameter group', take('findGroup', 'catalog/index.ts'), 32_000, [COMMON, LIGHT], [FAULT, TITLE]],
  ['the decoder', take('openRecording', 'index.ts'), 70_000, [COMMON, LIGHT], [FAULT, TITLE]],
  ['names of faults, with the groups', take('faultName', 'catalog/names/index.ts'), 38_000, [COMMON, FAULT], [TITLE]],
  ['names of addresses', take('addressName', 'catalog/names/index.ts'), 3_000, [], [COMMON, FAULT, TITLE]],
  ['one table of fault names', all('catalog/names/faults-network.ts'), 500, [FAULT], [COMMON, TITLE]],
  ['one theme of groups', all('catalog/groups/lights.ts'), 2_000, [LIGHT], [COMMON, FAULT, TITLE]],
  [
    'one theme of groups, and what reads them',
    take('decodeGroup', 'index.ts') + all('catalog/groups/lights.ts'),
    6_000,
    [LIGHT],
    [COMMON, FAULT, TITLE],
  ],
  ['titles of the sources', take('SOURCES', 'catalog/index.ts'), 3_000, [TITLE], [COMMON, FAULT]],
]

describe('in a bundle', () => {
  it.each(PARTS)('%s', async (_, text, limit, held, left) => {
    const { code, size } = await bundle(text)
    expect(size).toBeLessThan(limit)
    for (const words of held) expect(code).toContain(words)
    for (const words of left) expect(code).not.toContain(words)
  })
})
