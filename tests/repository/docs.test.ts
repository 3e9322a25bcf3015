import { posix } from 'node:path'
import { describe, expect, it } from 'vitest'
import { exists, filesIn, read } from './files.js'

const documents = filesIn('').filter((path) => path.endsWith('.md'))

/** A document's text without its code, where nothing is a link. */
const prose = (path: string) =>
  read(path)
    .replaceAll(/^```.*?^```/gms, '')
    .replaceAll(/`[^`\n]*`/g, '')

/** A heading's anchor: lower case, spaces as hyphens, punctuation left out. */
const anchor = (heading: string) =>
  heading
    .toLowerCase()
    .replaceAll(/[^\p{L}\p{N} _-]/gu, '')
    .replaceAll(' ', '-')

const anchorsOf = (path: string) => [...read(path).matchAll(/^#+ (.+)$/gm)].map(([, heading]) => anchor(heading))

describe.each(documents)('%s', (document) => {
  const links = [...prose(document).matchAll(/\]\(([^)\s]+)\)/g)].map(([, target]) => target)
  const relative = links.filter((target) => !/^[a-z]+:/.test(target))

  it('links to files and headings that exist', () => {
    const dead = relative.filter((target) => {
      const [path, fragment] = target.split('#')
      const file = path === '' ? document : posix.join(posix.dirname(document), path)
      return !exists(file) || (fragment !== undefined && !anchorsOf(file).includes(fragment))
    })
    expect(dead).toEqual([])
  })
})

describe('commands in the documents', () => {
  const { scripts } = JSON.parse(read('package.json')) as { scripts: Record<string, string> }

  it.each(['npm start', 'npm test'])('README.md shows `%s`, and package.json has it', (command) => {
    expect(read('README.md')).toMatch(new RegExp(`^${command}\\b`, 'm'))
    expect(scripts).toHaveProperty(command.replace('npm ', ''))
  })

  it.each(documents)('%s names only scripts that exist', (document) => {
    const named = [...read(document).matchAll(/\bnpm run ([\w:-]+)/g)].map(([, script]) => script)
    expect(named.filter((script) => !(script in scripts))).toEqual([])
  })

  it('each script runs a file that exists', () => {
    const files = Object.values(scripts).flatMap((script) => script.match(/(?<=^node )\S+/) ?? [])
    expect(files.length).toBeGreaterThan(0)
    expect(files.filter((file) => !exists(file))).toEqual([])
  })
})
