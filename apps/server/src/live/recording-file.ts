/** What is done to a recording's file beside appending to it. */
import { type FileHandle, open } from 'node:fs/promises'

/** Bytes looked at from a file's end for its last whole line. */
const TAIL_BYTES = 65_536

/** Cuts off what a full disk or a power cut left of a file's last line: it would look like a shorter frame. */
export async function trimRecording(path: string): Promise<void> {
  const file = await open(path, 'r+')
  try {
    await keepWholeLines(file)
  } finally {
    await file.close()
  }
}

/** Cuts off an unfinished last line. Returns the file's size. */
export async function keepWholeLines(file: FileHandle): Promise<number> {
  const { size } = await file.stat()
  const tail = new Uint8Array(Math.min(size, TAIL_BYTES))
  await file.read(tail, 0, tail.length, size - tail.length)
  const end = size - tail.length + tail.lastIndexOf(0x0a) + 1
  if (end < size) await file.truncate(end)
  return end
}

/** Makes a new file's name safe from a power cut, where the system can. */
export async function syncFolder(folder: string): Promise<void> {
  const handle = await open(folder, 'r').catch(() => undefined)
  await handle?.sync().catch(() => undefined)
  await handle?.close()
}
