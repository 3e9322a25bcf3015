/** A file that somebody put into the library: is it a log, how large, and which one. */
import { createHash } from 'node:crypto'
import { createReadStream } from 'node:fs'
import { stat } from 'node:fs/promises'
import { createGunzip } from 'node:zlib'
import { LogReader } from '@firstcrank/decoder'
import { FeedError } from '@firstcrank/feed'

/** What is found out about a file before it becomes a run. */
export interface Examined {
  /** SHA-256 of the unpacked bytes, 64 hexadecimal digits. */
  readonly hash: string
  readonly packed: boolean
  /** Whether it is an archive that is damaged or ends early. */
  readonly damaged: boolean
  /** Bytes of the file. */
  readonly bytes: number
  /** Bytes unpacked. */
  readonly unpacked: number
  readonly modified: number
}

const CHUNK_BYTES = 262_144
/** Bytes within which a log has shown its first frame. Our own choice. */
const FIRST_FRAME_WITHIN = 1_048_576

/**
 * Reads a file through.
 *
 * @param limit bytes it may unpack to
 * @throws {FeedError} `not-a-log`, `unpacked-too-large`
 */
export async function examineFile(path: string, limit: number): Promise<Examined> {
  const { size, mtimeMs } = await stat(path)
  const packed = await isPacked(path)
  const hash = createHash('sha256')
  const probe = new LogReader({ frames: () => undefined })
  let unpacked = 0
  let damaged = false
  const noteDamage = (): void => {
    damaged = true
  }
  for await (const chunk of unpackedChunks(path, packed, noteDamage)) {
    unpacked += chunk.length
    if (unpacked > limit) throw new FeedError('unpacked-too-large', `it unpacks to more than ${limit} bytes`)
    if (unpacked - chunk.length < FIRST_FRAME_WITHIN && !isLog(probe)) {
      probe.push(chunk)
      if (unpacked >= FIRST_FRAME_WITHIN && !isLog(probe)) throw noLog()
    }
    hash.update(chunk)
  }
  probe.finish()
  if (!isLog(probe)) throw noLog()
  return { hash: hash.digest('hex'), packed, damaged, bytes: size, unpacked, modified: Math.round(mtimeMs) }
}

/** Whether a file begins like a log: looked at only as far as its first frame has to be. */
export async function isLogFile(path: string): Promise<boolean> {
  const probe = new LogReader({ frames: () => undefined })
  let looked = 0
  for await (const chunk of unpackedChunks(path, await isPacked(path))) {
    probe.push(chunk)
    looked += chunk.length
    if (isLog(probe) || looked >= FIRST_FRAME_WITHIN) return isLog(probe)
  }
  probe.finish()
  return isLog(probe)
}

/** A file's bytes. What can be unpacked of a damaged archive is a log all the same: it ends there. */
async function* unpackedChunks(path: string, packed: boolean, onDamage?: () => void): AsyncGenerator<Uint8Array> {
  const file = createReadStream(path, { highWaterMark: CHUNK_BYTES })
  const bytes = packed ? file.pipe(createGunzip()) : file
  file.once('error', (error) => bytes.destroy(error))
  try {
    for await (const chunk of bytes) yield chunk as Uint8Array
  } catch (error) {
    if (!String((error as NodeJS.ErrnoException).code).startsWith('Z_')) throw error
    onDamage?.()
  } finally {
    file.destroy()
  }
}

const noLog = (): FeedError => new FeedError('not-a-log', 'no line of it can be read as a CAN frame')

const isLog = ({ counts: { extended, standard, remote, fd } }: LogReader): boolean =>
  extended + standard + remote + fd > 0

async function isPacked(path: string): Promise<boolean> {
  for await (const chunk of createReadStream(path, { end: 1 })) {
    const [first, second] = chunk as Uint8Array
    return first === 0x1f && second === 0x8b
  }
  return false
}
