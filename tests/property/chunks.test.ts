/** However a log is cut into chunks, packed or not, the same comes out, to the last bit. */
import { gzipSync } from 'node:zlib'
import { openRecording, type RecordingOptions, summarizeLog } from '@firstcrank/decoder'
import fc from 'fast-check'
import { describe, it } from 'vitest'
import { anyLog } from '../support/arbitrary-logs.js'
import { expectSameText, fingerprint, print } from '../support/fingerprint.js'
import { inChunks } from '../support/log.js'

const OPTIONS: RecordingOptions = { summary: true, maxLineBytes: 512, maxProblems: 5 }

const chunkSizes = fc.oneof(
  fc.constant([1]),
  fc.array(fc.integer({ min: 1, max: 40 }), { minLength: 1, maxLength: 9 }),
  fc.array(fc.integer({ min: 1, max: 2000 }), { minLength: 1, maxLength: 9 }),
)

async function read(source: Uint8Array | Iterable<Uint8Array>): Promise<string> {
  return fingerprint(await openRecording(source, OPTIONS))
}

describe('any chunks', () => {
  it('give the same recording', async () => {
    await fc.assert(
      fc.asyncProperty(anyLog, chunkSizes, async (log, sizes) => {
        expectSameText(await read(inChunks(log, sizes)), await read(log))
      }),
      { numRuns: 150 },
    )
  })

  it('of a packed log give the same recording as the plain log', async () => {
    await fc.assert(
      fc.asyncProperty(anyLog, chunkSizes, async (log, sizes) => {
        expectSameText(await read(inChunks(gzipSync(log), sizes)), await read(log))
      }),
      { numRuns: 60 },
    )
  })

  it('of a packed log that ends early, or is damaged, give the same recording', async () => {
    const harm = fc.record({ at: fc.double({ min: 0.1, max: 1, noNaN: true }), isCut: fc.boolean() })
    await fc.assert(
      fc.asyncProperty(anyLog, chunkSizes, harm, async (log, sizes, { at, isCut }) => {
        const packed = gzipSync(log)
        const place = Math.min(packed.length - 1, Math.floor(packed.length * at))
        packed[place] ^= 0x10
        const bytes = isCut ? packed.subarray(0, place) : packed
        expectSameText(await read(inChunks(bytes, sizes)), await read(bytes))
      }),
      { numRuns: 60 },
    )
  })

  it('give the same summary, and it is the recording’s own', async () => {
    await fc.assert(
      fc.asyncProperty(anyLog, chunkSizes, async (log, sizes) => {
        const recording = await openRecording(log, OPTIONS)
        const wanted = print(recording.summary())
        expectSameText(print(await summarizeLog(log, OPTIONS)), wanted)
        expectSameText(print(await summarizeLog(inChunks(log, sizes), OPTIONS)), wanted)
      }),
      { numRuns: 60 },
    )
  })
})

it('a stream of bytes gives the same recording as the bytes', async () => {
  const [log] = fc.sample(anyLog, { numRuns: 1, seed: 190 })
  // Copies, since every chunk of the generator uses the same memory.
  const chunks = Array.from(inChunks(log, [77, 1, 300]), (chunk) => chunk.slice())
  const stream = new ReadableStream<Uint8Array>({
    pull: (controller) => {
      const chunk = chunks.shift()
      if (chunk === undefined) controller.close()
      else controller.enqueue(chunk)
    },
  })
  expectSameText(fingerprint(await openRecording(stream, OPTIONS)), await read(log))
})
