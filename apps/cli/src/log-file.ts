/** A log on disk, or from standard input, as chunks of bytes. */
import { fstatSync } from 'node:fs'
import { type FileHandle, open } from 'node:fs/promises'
import { CommandError, fileProblem } from './command-error.js'
import type { Io } from './output.js'
import { Progress } from './progress.js'

/** Bytes read at a time, into one buffer that is used again and again. */
const CHUNK = 128 * 1024

/**
 * The chunks of a log. Each is good until the next is asked for.
 *
 * @param name a file, or `-` for standard input
 * @param isStreaming whether output is written meanwhile: on a terminal it would run into the progress shown
 * @throws {CommandError} 3, on the first read, where it cannot be read
 */
export async function* readLog(name: string, io: Io, isStreaming = false): AsyncGenerator<Uint8Array> {
  const progress = new Progress(io.stderr)
  try {
    let read = 0
    const chunks = name === '-' ? readInput(io) : readFileChunks(name, (size) => progress.expect(size))
    for await (const chunk of chunks) {
      yield chunk
      read += chunk.length
      if (!isStreaming || !io.stdout.isTTY) progress.show(read)
    }
  } finally {
    progress.end()
  }
}

async function* readInput({ stdin }: Io): AsyncGenerator<Uint8Array> {
  try {
    // Of a folder Node makes a stream that ends at once: it would be taken for an empty log.
    if (stdin.fd !== undefined && fstatSync(stdin.fd).isDirectory())
      throw Object.assign(new Error('a folder'), { code: 'EISDIR' })
    yield* stdin
  } catch (error) {
    throw unreadable('standard input', error)
  }
}

async function* readFileChunks(name: string, onSize: (bytes: number) => void): AsyncGenerator<Uint8Array> {
  const file = await guard(name, () => open(name, 'r'))
  try {
    const { size, isFile } = await guard(name, async () => {
      const found = await file.stat()
      return { size: found.size, isFile: found.isFile() }
    })
    if (isFile) onSize(size)
    const buffer = new Uint8Array(CHUNK)
    for (;;) {
      const length = await guard(name, () => readInto(file, buffer))
      if (length === 0) return
      yield buffer.subarray(0, length)
    }
  } finally {
    await file.close()
  }
}

async function readInto(file: FileHandle, buffer: Uint8Array): Promise<number> {
  return (await file.read(buffer, 0, buffer.length, null)).bytesRead
}

async function guard<T>(name: string, read: () => Promise<T>): Promise<T> {
  try {
    return await read()
  } catch (error) {
    throw unreadable(name, error)
  }
}

function unreadable(name: string, error: unknown): CommandError {
  return new CommandError(3, `cannot read ${name}: ${fileProblem(error)}`, { cause: error })
}
