import { describe, expect, it } from 'vitest'
import { filesIn, read } from './files.js'

const LONGEST = 500

/** Files that may be longer, each with its reason. */
const LONGER: Readonly<Record<string, string>> = {}

const SOURCE = /\.[cm]?[jt]sx?$/
const sources = ['packages', 'apps', 'tests', 'scripts'].flatMap(filesIn).filter((path) => SOURCE.test(path))
const library = sources.filter((path) => /^packages\/[^/]+\/src\//.test(path) && !path.endsWith('.test.ts'))

/** `path:line` of each line that a pattern is in. */
function linesWith(paths: readonly string[], pattern: RegExp): string[] {
  return paths.flatMap((path) => {
    const lines = read(path).split('\n')
    return lines.flatMap((line, index) => (pattern.test(line) ? [`${path}:${index + 1}`] : []))
  })
}

describe('file length', () => {
  const lengths = new Map(sources.map((path) => [path, read(path).trimEnd().split('\n').length]))

  it(`is ${LONGEST} lines at most, but for the listed ones`, () => {
    const tooLong = [...lengths].filter(([path, length]) => length > LONGEST && !(path in LONGER))
    expect(tooLong).toEqual([])
  })

  it('has no exception that is not needed', () => {
    expect(Object.keys(LONGER).filter((path) => (lengths.get(path) ?? 0) <= LONGEST)).toEqual([])
  })
})

describe('packages', () => {
  it('are found', () => {
    expect(library).toContain('packages/decoder/src/bus/identifier.ts')
  })

  it('import nothing of Node', () => {
    expect(linesWith(library, /['"]node:/)).toEqual([])
  })

  it('run under a strict content security policy: no code is made from text', () => {
    expect(linesWith(library, /\bnew Function\(|\beval\(/)).toEqual([])
  })
})

describe('suppressions', () => {
  it('of the compiler say why', () => {
    const bare = /@ts-(expect-error|ignore|nocheck)\s*$/
    expect(linesWith(sources, bare)).toEqual([])
  })
})
