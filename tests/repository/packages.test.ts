import { describe, expect, it } from 'vitest'
import { membersOf, read } from './files.js'

interface Manifest {
  name: string
  version: string
  license: string
  type: string
  private?: boolean
  engines: { node: string }
  scripts?: Record<string, string>
  exports?: Record<string, string | Record<string, string>>
  dependencies?: Record<string, string>
  devDependencies?: Record<string, string>
  peerDependencies?: Record<string, string>
  optionalDependencies?: Record<string, string>
}

const manifest = (folder: string): Manifest => JSON.parse(read(`${folder}/package.json`))

const MEMBERS = [...membersOf('packages'), ...membersOf('apps')]
const EXACT = /^\d+\.\d+\.\d+(-[\w.]+)?$/

describe.each(['.', ...MEMBERS])('package.json in %s', (folder) => {
  const { dependencies, devDependencies, peerDependencies, optionalDependencies, ...rest } = manifest(folder)

  it('asks for exact versions', () => {
    const wanted = { ...dependencies, ...devDependencies, ...peerDependencies, ...optionalDependencies }
    expect(Object.entries(wanted).filter(([, version]) => !EXACT.test(version))).toEqual([])
  })

  it('states licence, module type and lowest Node', () => {
    expect(rest).toMatchObject({ license: 'MIT', type: 'module', engines: { node: '>=20.19' } })
  })
})

describe.each(MEMBERS)('%s', (folder) => {
  const { name, version, exports = {}, ...rest } = manifest(folder)

  it('is named after its folder', () => {
    expect(name).toBe(`@firstcrank/${folder.split('/')[1]}`)
  })

  it('has the version of all the others', () => {
    expect(version).toBe(manifest('packages/decoder').version)
    const ours = Object.entries(rest.dependencies ?? {}).filter(([wanted]) => wanted.startsWith('@firstcrank/'))
    expect(ours.filter(([, wanted]) => wanted !== version)).toEqual([])
  })

  it('exports ES modules with their types, and nothing for other systems', () => {
    expect(rest).not.toHaveProperty('main')
    for (const [entry, target] of Object.entries(exports)) {
      if (entry.endsWith('.json')) expect(target).toBe(entry)
      else expect(target).toEqual({ types: expect.stringMatching(/\.d\.ts$/), default: expect.stringMatching(/\.js$/) })
    }
  })
})

it('gives the decoder no dependency', () => {
  const { dependencies, peerDependencies, optionalDependencies } = manifest('packages/decoder')
  expect({ ...dependencies, ...peerDependencies, ...optionalDependencies }).toEqual({})
})

it('keeps download addresses out of the lock file', () => {
  const { packages } = JSON.parse(read('package-lock.json')) as { packages: Record<string, { resolved?: string }> }
  const addresses = Object.values(packages).filter(({ resolved }) => resolved?.includes('://'))
  expect(addresses).toEqual([])
})
