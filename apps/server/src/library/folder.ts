/** The files of a library: where they lie, which of them may be logs. */
import { lstat, mkdir, readdir, rm } from 'node:fs/promises'
import { isAbsolute, join, relative, resolve, sep } from 'node:path'

/** A file that may be a log. */
export interface FoundFile {
  /** In the library relative to it, else absolute. */
  readonly path: string
  readonly bytes: number
  /** Milliseconds since the epoch. */
  readonly modified: number
  readonly kept: 'library' | 'outside'
}

/** Names of files that are taken for logs. */
const LOG_NAME = /^[^.].*\.(log|txt|candump)(\.gz)?$/i
/** Files looked at in one folder outside. Our own choice: beyond it is not a folder of logs. */
const MAX_FILES = 10_000
/** Folders in folders looked into outside. Our own choice. */
const OUTSIDE_DEPTH = 3

/** A library folder and the logs outside it that are shown too. */
export class LibraryFolder {
  readonly path: string
  /** Uploaded and recorded logs. */
  readonly logs: string
  readonly trash: string
  readonly #outside: readonly string[]

  /** @param outside files and folders that are read and never changed */
  constructor(path: string, outside: readonly string[] = []) {
    this.path = resolve(path)
    this.logs = join(this.path, 'logs')
    this.trash = join(this.path, 'trash')
    this.#outside = outside.map((place) => resolve(place))
  }

  /** Folders to be watched. */
  get watched(): readonly string[] {
    return [this.path, this.logs, ...this.#outside]
  }

  /** Makes what is not there. */
  async create(): Promise<void> {
    for (const folder of [this.logs, this.trash]) await mkdir(folder, { recursive: true })
  }

  /** Removes what a killed server left half done. */
  async tidy(): Promise<void> {
    for (const name of await readdir(this.logs)) {
      if (/^\.(upload|replay)-/.test(name)) await rm(join(this.logs, name), { force: true })
    }
  }

  /** The absolute path of a log. */
  absolute(path: string): string {
    return isAbsolute(path) ? path : join(this.path, path)
  }

  /** How a path is written down: relative where it is inside. */
  name(path: string): string {
    const inside = relative(this.path, path)
    return inside.startsWith('..') || isAbsolute(inside) ? path : inside.split(sep).join('/')
  }

  /** Whether a file is as it was. One outside stays known after a start at which nobody pointed at it. */
  async isThere({ path, bytes, modified }: Omit<FoundFile, 'kept'>): Promise<boolean> {
    const [found] = await this.#look(this.absolute(path))
    return found !== undefined && found.bytes === bytes && found.modified === modified
  }

  /** Every file that may be a log, in order. Links are not followed. */
  async find(): Promise<FoundFile[]> {
    const own = [...(await listLogs(this.path, 0)), ...(await listLogs(this.logs, 0))]
    const others = (await Promise.all(this.#outside.map((place) => listLogs(place)))).flat()
    const outside = others.filter((path) => !own.includes(path))
    return (await Promise.all([...own, ...outside].map((path) => this.#look(path)))).flat()
  }

  async #look(path: string): Promise<FoundFile[]> {
    const found = await lstat(path).catch(() => undefined)
    if (found === undefined || !found.isFile() || found.size === 0) return []
    const name = this.name(path)
    const kept = isAbsolute(name) ? 'outside' : 'library'
    return [{ path: name, bytes: found.size, modified: Math.round(found.mtimeMs), kept }]
  }
}

/** Files of a folder that may be logs, down to a depth; a file is a list of itself. */
export async function listLogs(place: string, depth: number = OUTSIDE_DEPTH): Promise<string[]> {
  const found = await lstat(place).catch(() => undefined)
  if (found === undefined) return []
  if (found.isFile()) return [place]
  if (!found.isDirectory()) return []
  const entries = await readdir(place, { withFileTypes: true })
  const paths: string[] = []
  for (const entry of entries.sort((a, b) => (a.name < b.name ? -1 : 1))) {
    if (paths.length >= MAX_FILES) break
    const path = join(place, entry.name)
    if (entry.isFile() && LOG_NAME.test(entry.name)) paths.push(path)
    else if (entry.isDirectory() && depth > 0 && !entry.name.startsWith('.')) {
      paths.push(...(await listLogs(path, depth - 1)))
    }
  }
  return paths
}
