/**
 * Live lines written to disk as they come: appended, synced at a stated interval, rotated by size.
 * What was synced is never touched again. A full disk is told of and tried again; the live view does
 * not wait for it. Marker lines begin with `# firstcrank`, which every reader of logs skips.
 */
import { type FileHandle, open } from 'node:fs/promises'
import { dirname, join } from 'node:path'
import type { RecorderStatus } from '@firstcrank/feed'
import { reasonOf } from '../reason.js'
import { countLines } from './lines.js'
import { keepWholeLines, syncFolder } from './recording-file.js'

/** How a recording is kept. */
export interface RecorderOptions {
  readonly folder: string
  /** Names the session in files and markers. */
  readonly session: string
  /** What is recorded, for people. */
  readonly title: string
  /** Milliseconds between two syncs: what a power cut can cost at most. */
  readonly syncEvery?: number
  /** Milliseconds until a failed disk is tried again. */
  readonly retryEvery?: number
  /** Bytes after which another file is begun. */
  readonly rotateAt?: number
  /** A file to go on with, and its number. */
  readonly resume?: { readonly file: string; readonly part: number }
  /** Number of the first file where none is gone on with. */
  readonly firstPart?: number
  readonly onState?: (state: RecorderStatus['state'], detail: string) => void
  /** Told when a file is begun and when it is complete. */
  readonly onFile?: (file: string, part: number, complete: boolean) => void
  /** How files are opened; tests give disks that fail. */
  readonly openFile?: typeof open
}

/** Our own choice: a second of driving, and files that an editor still opens. */
export const SYNC_EVERY = 1_000
export const ROTATE_AT = 512 * 1024 * 1024
/** Milliseconds lines wait to be written together, and until a failed disk is tried again. Our own choice. */
const WRITE_EVERY = 100
const RETRY_EVERY = 2_000
/** Bytes that are written without waiting for more. Our own choice. */
const SOON = 1024 * 1024
/** Bytes that wait for the disk before further lines are dropped and counted, and until they are not any more. Our own choice. */
const MAX_WAITING = 16 * 1024 * 1024
const ROOM_AGAIN = MAX_WAITING / 2

const FULL = new Set(['ENOSPC', 'EDQUOT', 'EFBIG'])
const encoder = new TextEncoder()

/** Why lines are dropped where the disk works. */
export const TOO_SLOW = 'the disk is slower than what comes in'

/** Beginning of every line that this program writes of its own. */
export const MARKER = '# firstcrank '

/** Records one session. */
export class Recorder {
  readonly #options: RecorderOptions
  #file: FileHandle | undefined
  #path = ''
  #part: number
  #state: RecorderStatus['state'] = 'recording'
  #detail = ''
  /** Bytes in the file that is open. */
  #size = 0
  #written = 0
  #synced = 0
  /** Bytes that were written before a sync that failed: the system may have lost them, and does not say so again. */
  #doubtful = 0
  #syncError: unknown
  #dropped = 0
  /** Lines dropped since the last marker that said so, and since it was told that the disk works again. */
  #gap = 0
  #lost = 0
  #waiting: Uint8Array[] = []
  #waitingBytes = 0
  #timer: NodeJS.Timeout | undefined
  #lastSync = 0
  #work: Promise<void> = Promise.resolve()
  #stopping = false
  #ending: Promise<void> | undefined

  constructor(options: RecorderOptions) {
    this.#options = options
    this.#part = options.resume?.part ?? options.firstPart ?? 1
    this.#path = options.resume?.file ?? this.#nameOf(this.#part)
  }

  get status(): RecorderStatus {
    return {
      state: this.#state,
      detail: this.#detail,
      file: this.#path,
      part: this.#part,
      written: this.#written,
      synced: this.#synced,
      dropped: this.#dropped,
    }
  }

  /** Takes whole lines; they are copied. The file is begun with the first. A disk that fails is told of, not thrown. */
  write(lines: Uint8Array): void {
    if (this.#stopping) return
    if (this.#waitingBytes + lines.length > (this.#gap > 0 ? ROOM_AGAIN : MAX_WAITING)) {
      const lost = countLines(lines)
      this.#dropped += lost
      this.#gap += lost
      this.#lost += lost
      if (this.#state === 'recording') this.#tell('failed', TOO_SLOW)
      return
    }
    this.#markGap()
    this.#waiting.push(lines.slice())
    this.#waitingBytes += lines.length
    this.#plan(WRITE_EVERY)
  }

  /** Writes a marker line, where lines have been recorded. */
  note(text: string): void {
    if (this.#file !== undefined || this.#waiting.length > 0) this.write(this.#marker(text))
  }

  /** Writes what waits, syncs and closes. Lines that come later are not recorded. */
  stop(): Promise<void> {
    this.#ending ??= this.#end()
    return this.#ending
  }

  async #end(): Promise<void> {
    // One line more than may wait, so that it is there whatever the disk was like.
    if (this.#file !== undefined || this.#waiting.length > 0) {
      this.#markGap()
      this.#mark('session ended')
    }
    this.#stopping = true
    clearTimeout(this.#timer)
    await this.#work
    if (this.#file !== undefined || this.#waiting.length > 0) await this.#flush(true)
    if (this.#state === 'recording') {
      await this.#close()
      this.#tell('stopped', '')
    } else {
      await this.#file?.close().catch(() => undefined)
    }
  }

  #plan(wait: number): void {
    if (this.#timer !== undefined || this.#stopping) return
    this.#timer = setTimeout(() => {
      this.#work = this.#flush(false).then((isDone) => {
        this.#timer = undefined
        if (!isDone) return this.#plan(this.#options.retryEvery ?? RETRY_EVERY)
        const isBehind = this.#waiting.length > 0 || this.#state !== 'recording'
        if (isBehind || this.#synced + this.#doubtful < this.#written)
          this.#plan(this.#waitingBytes > SOON ? 0 : WRITE_EVERY)
      })
    }, wait)
  }

  /** Resolves whether the disk did all that it was asked for. */
  async #flush(last: boolean): Promise<boolean> {
    try {
      const file = this.#file ?? (await this.#open())
      await this.#writeWaiting(file)
      if (this.#state !== 'recording') await this.#recover(file)
      const { syncEvery = SYNC_EVERY, rotateAt = ROTATE_AT } = this.#options
      if (last || performance.now() - this.#lastSync >= syncEvery) await this.#sync(file)
      if (this.#size >= rotateAt && !last) await this.#rotate()
      return true
    } catch (error) {
      // What could be written before is not to wait for room, too.
      if (this.#file !== undefined && error !== this.#syncError) await this.#sync(this.#file).catch(() => undefined)
      const { code = '' } = error as NodeJS.ErrnoException
      this.#tell(FULL.has(code) ? 'disk-full' : 'failed', reasonOf(error))
      return false
    }
  }

  /**
   * Writes what waits now. What comes meanwhile waits for the next time: else a slow disk would never come to a
   * sync. What was only partly written stays first in line, cut by so much: the file never gets it twice.
   */
  async #writeWaiting(file: FileHandle): Promise<void> {
    if (this.#waiting.length === 0) return
    let lines = this.#waiting.length === 1 ? (this.#waiting[0] as Uint8Array) : Buffer.concat(this.#waiting)
    this.#waiting = [lines]
    while (lines.length > 0) {
      const { bytesWritten } = await file.write(lines)
      this.#size += bytesWritten
      this.#written += bytesWritten
      this.#waitingBytes -= bytesWritten
      lines = lines.subarray(bytesWritten)
      this.#waiting[0] = lines
    }
    this.#waiting.shift()
  }

  async #recover(file: FileHandle): Promise<void> {
    const lost = this.#lost
    this.#lost = 0
    this.#tell('recording', lost > 0 ? `${lost} lines were not recorded` : '')
    this.#markGap()
    await this.#writeWaiting(file)
  }

  /** Says, where lines are missing, how many. */
  #markGap(): void {
    if (this.#gap === 0) return
    this.#mark(`gap: ${this.#gap} lines were not recorded`)
    this.#gap = 0
  }

  #mark(text: string): void {
    const marker = this.#marker(text)
    this.#waiting.push(marker)
    this.#waitingBytes += marker.length
  }

  async #sync(file: FileHandle): Promise<void> {
    const written = this.#written
    try {
      await file.datasync()
    } catch (error) {
      // A second try may succeed without them: the system tells of what it could not write once.
      this.#doubtful = this.#written - this.#synced
      this.#syncError = error
      throw error
    }
    this.#synced = written - this.#doubtful
    this.#lastSync = performance.now()
  }

  async #rotate(): Promise<void> {
    await this.#close()
    this.#part++
    this.#path = this.#nameOf(this.#part)
    await this.#open()
  }

  async #close(): Promise<void> {
    const file = this.#file
    if (file === undefined) return
    await this.#sync(file)
    this.#file = undefined
    await file.close()
    this.#options.onFile?.(this.#path, this.#part, true)
  }

  async #open(): Promise<FileHandle> {
    const { openFile = open, resume } = this.#options
    const goesOn = resume?.file === this.#path
    const file = await openFile(this.#path, goesOn ? 'a+' : 'ax')
    this.#size = goesOn ? await keepWholeLines(file) : 0
    this.#file = file
    await syncFolder(dirname(this.#path))
    this.#options.onFile?.(this.#path, this.#part, false)
    const begun = goesOn ? 'resumed' : this.#part === 1 ? 'begun' : 'continued'
    const marker = this.#marker(`session ${this.#options.session} part ${this.#part} ${begun}: ${this.#options.title}`)
    this.#waiting.unshift(marker)
    this.#waitingBytes += marker.length
    return file
  }

  #marker(text: string): Uint8Array {
    return encoder.encode(`${MARKER}${new Date().toISOString()} ${text.replaceAll(/[\r\n]/g, ' ')}\n`)
  }

  #nameOf(part: number): string {
    return join(this.#options.folder, `${this.#options.session}-${String(part).padStart(3, '0')}.log`)
  }

  #tell(state: RecorderStatus['state'], detail: string): void {
    if (this.#state === state && this.#detail === detail) return
    this.#state = state
    this.#detail = detail
    this.#options.onState?.(state, detail)
  }
}
