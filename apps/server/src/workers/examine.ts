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
  const file = createReadStream(path, { highWaterMark: CHUNK_BYTES })
  const hash = createHash('sha256')
  const probe = new LogReader({ frames: () => undefined })
  let packed: boolean | undefined
  let unpacked = 0
  const take = (chunk: Uint8Array): void => {
    unpacked += chunk.length
    if (unpacked > limit) throw new FeedError('unpacked-too-large', `it unpacks to more than ${limit} bytes`)
    if (unpacked - chunk.length < FIRST_FRAME_WITHIN && !isLog(probe)) {
      probe.push(chunk)
      if (unpacked >= FIRST_FRAME_WITHIN && !isLog(probe)) throw noLog()
    }
    hash.update(chunk)
  }
  try {
    const first = await firstBytes(path)
    packed = first[0] === 0x1f && first[1] === 0x8b
    const unzip = packed ? file.pipe(createGunzip()) : file
    file.once('error', (error) => unzip.destroy(error))
    for await (const chunk of unzip) take(chunk as Uint8Array)
  } catch (error) {
    if (error instanceof FeedError) throw error
    // What could be unpacked of a damaged archive is a log all the same.
    if (!isDamaged(error)) throw error
  } finally {
    file.destroy()
  }
  probe.finish()
  if (!isLog(probe)) throw noLog()
  return { hash: hash.digest('hex'), packed: packed ?? false, bytes: size, unpacked, modified: Math.round(mtimeMs) }
}

const noLog = (): FeedError => new FeedError('not-a-log', 'no line of it can be read as a CAN frame')

const isDamaged = (error: unknown): boolean => String((error as NodeJS.ErrnoException).code).startsWith('Z_')

const isLog = ({ counts: { extended, standard, remote, fd } }: LogReader): boolean =>
  extended + standard + remote + fd > 0

async function firstBytes(path: string): Promise<Uint8Array> {
  for await (const chunk of createReadStream(path, { end: 1 })) return chunk as Uint8Array
  return new Uint8Array(0)
}
