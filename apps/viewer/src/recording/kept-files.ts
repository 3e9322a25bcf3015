/** Logs this browser keeps, so that a link or a reload opens them again. They stay on the device. */
import { forgetCard } from './card.js'

/** A log kept in the browser. */
export interface KeptFile {
  readonly id: string
  readonly name: string
  readonly bytes: number
  /** Milliseconds since 1970. */
  readonly opened: number
  /** One line on what was found; empty while it is not known. */
  readonly verdict: string
  /** As of a stamp; `unreadable` of a file that is no log, empty while it is not known. */
  readonly level: string
  /** Microseconds of the first message where it is dated, length in seconds, faults; null while not known. */
  readonly from: number | null
  readonly seconds: number | null
  readonly faults: number | null
}

interface Row extends KeptFile {
  readonly blob: Blob
}

const DATABASE = 'firstcrank'
const STORE = 'logs'
/** Logs kept; the oldest make room. Our own choice. */
const MOST_KEPT = 20

/** Logs opened since the page was loaded: they can be read even where the browser keeps nothing. */
const opened = new Map<string, Row>()

const listeners = new Set<() => void>()

function tellChanged(): void {
  for (const listener of listeners) listener()
}

/** Tells whenever another list is to be had from {@link listKept}. Returns how to be told no more. */
export function watchKept(listener: () => void): () => void {
  listeners.add(listener)
  return () => listeners.delete(listener)
}

/** Keeps a log; the same file gets the same id. */
export async function keepFile(file: File): Promise<string> {
  const id = fingerprint(`${file.name}/${file.size}/${file.lastModified}`)
  const row: Row = {
    id,
    name: file.name,
    bytes: file.size,
    opened: Date.now(),
    verdict: '',
    level: '',
    from: null,
    seconds: null,
    faults: null,
    blob: file,
  }
  opened.set(id, row)
  try {
    await write((store) => store.put(row))
    const rows = await listKept()
    for (const old of rows.slice(MOST_KEPT)) await dropKept(old.id)
  } catch {
    // A private window keeps nothing; the log is shown all the same.
  }
  tellChanged()
  return id
}

/** A log by its id; undefined where the browser does not have it. */
export async function findKept(id: string): Promise<{ readonly file: Blob; readonly name: string } | undefined> {
  const row = opened.get(id) ?? (await read<Row | undefined>((store) => store.get(id)).catch(() => undefined))
  return row === undefined ? undefined : { file: row.blob, name: row.name }
}

/** What is kept, the newest first. */
export async function listKept(): Promise<readonly KeptFile[]> {
  const rows = await read<Row[]>((store) => store.getAll()).catch(() => [...opened.values()])
  return rows.map(({ blob: _, ...rest }) => rest).sort((a, b) => b.opened - a.opened)
}

/** Notes what was found in a log, for the list. */
export async function noteFound(id: string, found: Partial<KeptFile>): Promise<void> {
  const row = opened.get(id) ?? (await read<Row | undefined>((store) => store.get(id)).catch(() => undefined))
  if (row === undefined) return
  const changed = { ...row, ...found }
  if (opened.has(id)) opened.set(id, changed)
  await write((store) => store.put(changed)).catch(() => undefined)
  tellChanged()
}

/** Forgets a log. */
export async function dropKept(id: string): Promise<void> {
  opened.delete(id)
  forgetCard(`file:${id}`)
  await write((store) => store.delete(id)).catch(() => undefined)
  tellChanged()
}

/** A short name for a text (FNV-1a, 53 bits of two runs). It need not be secret, only stable. */
function fingerprint(text: string): string {
  const run = (seed: number): number => {
    let hash = seed
    for (let i = 0; i < text.length; i++) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193)
    return hash >>> 0
  }
  return run(0x811c9dc5).toString(36) + run(0x2f0b4f4d).toString(36)
}

let database: Promise<IDBDatabase> | undefined

function open(): Promise<IDBDatabase> {
  database ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(DATABASE, 1)
    request.onupgradeneeded = () => request.result.createObjectStore(STORE, { keyPath: 'id' })
    request.onsuccess = () => resolve(request.result)
    request.onerror = () => reject(request.error ?? new Error('the browser keeps no data'))
  })
  return database
}

async function read<T>(ask: (store: IDBObjectStore) => IDBRequest<T>): Promise<T> {
  return settle(ask((await open()).transaction(STORE).objectStore(STORE)))
}

async function write(ask: (store: IDBObjectStore) => IDBRequest): Promise<void> {
  await settle(ask((await open()).transaction(STORE, 'readwrite').objectStore(STORE)))
}

function settle<T>(request: IDBRequest<T>): Promise<T> {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result)
    request.onerror = () => reject(request.error ?? new Error('the browser refused'))
  })
}
