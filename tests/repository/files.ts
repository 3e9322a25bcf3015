/** The repository's own files, for the tests of its house rules. */
import { readdirSync, readFileSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'

const ROOT = fileURLToPath(new URL('../..', import.meta.url))
const SKIPPED = new Set(['node_modules', 'dist', '.git', 'coverage'])

/** Paths of all files below a folder, from the top folder, without what is installed or built. */
export function filesIn(folder: string): string[] {
  const entries = readdirSync(join(ROOT, folder), { withFileTypes: true })
  return entries
    .filter((entry) => !SKIPPED.has(entry.name))
    .flatMap((entry) => {
      const path = folder === '' ? entry.name : `${folder}/${entry.name}`
      return entry.isDirectory() ? filesIn(path) : [path]
    })
    .sort()
}

/** Paths of the folders of all packages, or of all apps. */
export function membersOf(top: 'packages' | 'apps'): string[] {
  const entries = readdirSync(join(ROOT, top), { withFileTypes: true })
  return entries.filter((entry) => entry.isDirectory()).map((entry) => `${top}/${entry.name}`)
}

/** Whether there is a file or folder at a path from the top folder. */
export function exists(path: string): boolean {
  return statSync(join(ROOT, path), { throwIfNoEntry: false }) !== undefined
}

/** A file's text. */
export function read(path: string): string {
  return readFileSync(join(ROOT, path), 'utf8')
}
