import { readFileSync } from 'node:fs'
import { gzipSync } from 'node:zlib'
import { describe, expect, it } from 'vitest'
import { inChunks, utf8 } from '../../../../tests/support/log.js'
import { type LogSource, LogSourceError, type LogSourceErrorCode, readChunks } from './source.js'

const TEXT = 'The quick brown fox jumps over the lazy dog. '.repeat(40)

async function textOf(source: LogSource): Promise<string> {
  const decoder = new TextDecoder()
  let text = ''
  for await (const chunk of readChunks(source)) text += decoder.decode(chunk, { stream: true })
  return text
}

function streamOf(chunks: Iterable<Uint8Array>): ReadableStream<Uint8Array> {
  const iterator = chunks[Symbol.iterator]()
  return new ReadableStream({
    pull: (controller) => {
      const { value, done } = iterator.next()
      if (done) controller.close()
      else controller.enqueue(value.slice())
    },
  })
}

async function* later(chunks: Iterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  for (const chunk of chunks) {
    await Promise.resolve()
    yield chunk
  }
}

describe.each([
  ['plain', utf8(TEXT)],
  ['packed', new Uint8Array(gzipSync(TEXT))],
] as const)('%s', (_, bytes) => {
  it.each<[string, (chunks: Iterable<Uint8Array>) => LogSource]>([
    ['an iterable', (chunks) => chunks],
    ['an async iterable', later],
    ['a stream', streamOf],
    ['a list', (chunks) => Array.from(chunks, (chunk) => chunk.slice())],
  ])('%s of chunks of any size', async (_kind, make) => {
    for (const sizes of [[1], [2, 1], [1, 1000], [7, 13], [5000]]) {
      expect(await textOf(make(inChunks(bytes, sizes)))).toBe(TEXT)
    }
  })

  it('all in one piece', async () => {
    expect(await textOf(bytes)).toBe(TEXT)
  })

  it('with empty chunks in between', async () => {
    const empty = new Uint8Array()
    expect(
      await textOf([empty, bytes.slice(0, 1), empty, bytes.slice(1, 9), empty, empty, bytes.slice(9), empty]),
    ).toBe(TEXT)
  })
})

describe('a source', () => {
  it('may hold nothing, or one byte', async () => {
    expect(await textOf(new Uint8Array())).toBe('')
    expect(await textOf([])).toBe('')
    expect(await textOf([utf8('('), new Uint8Array()])).toBe('(')
    expect(await textOf([Uint8Array.of(0x1f)])).toBe('\x1f')
  })

  it('is let go where the reader stops early', async () => {
    let isOpen = true
    const chunks = (function* () {
      try {
        for (;;) yield utf8('line\n')
      } finally {
        isOpen = false
      }
    })()
    for await (const _ of readChunks(chunks)) break
    expect(isOpen).toBe(false)
    const stream = streamOf([utf8('line\n'), utf8('line\n')])
    for await (const _ of readChunks(stream)) break
    expect(stream.locked).toBe(false)
  })

  it('that is a stream is cancelled where the reader stops early, and only there', async () => {
    const cancelled: string[] = []
    const endless = new ReadableStream<Uint8Array>({
      pull: (controller) => controller.enqueue(utf8('line\n')),
      cancel: () => void cancelled.push('endless'),
    })
    for await (const _ of readChunks(endless)) break
    const read = new ReadableStream<Uint8Array>({
      start(controller) {
        controller.enqueue(utf8('line\n'))
        controller.close()
      },
      cancel: () => void cancelled.push('read'),
    })
    expect(await textOf(read)).toBe('line\n')
    expect(cancelled).toEqual(['endless'])
  })

  it('hands on what goes wrong in its giver', async () => {
    const broken = (async function* () {
      yield utf8('line\n')
      throw new Error('the disk is gone')
    })()
    await expect(textOf(broken)).rejects.toThrow('the disk is gone')
    const failing = new ReadableStream<Uint8Array>({
      pull: (controller) => controller.error(new Error('the line is down')),
    })
    await expect(textOf(failing)).rejects.toThrow('the line is down')
    expect(failing.locked).toBe(false)
  })

  it('hands on what goes wrong in the giver of an archive, which is not damaged by that', async () => {
    const packed = new Uint8Array(gzipSync(TEXT))
    const broken = (async function* () {
      yield packed.subarray(0, 20)
      throw new Error('the disk is gone')
    })()
    await expect(textOf(broken)).rejects.toThrow('the disk is gone')
  })
})

describe('errors', () => {
  const packed = new Uint8Array(gzipSync(TEXT))
  const spoiled = packed.slice()
  spoiled.fill(0x5a, 30, 50)
  const wrongSum = packed.slice()
  wrongSum[wrongSum.length - 6] ^= 1

  const cases: [LogSourceErrorCode, string, unknown][] = [
    ['not-a-source', 'nothing', undefined],
    ['not-a-source', 'null', null],
    ['not-a-source', 'a name', 'truck.log'],
    ['not-a-source', 'a number', 7],
    ['not-a-source', 'an object', {}],
    ['not-a-source', 'raw memory', new ArrayBuffer(8)],
    ['not-a-source', 'a list of texts', ['(1.0) can0 301#\n']],
    ['not-a-source', 'a list of numbers', [40, 49]],
    ['not-a-source', 'texts behind bytes', [utf8('line\n'), 'line\n']],
    ['damaged-gzip', 'an archive cut short', packed.subarray(0, packed.length - 9)],
    ['damaged-gzip', 'an archive with other bytes in it', spoiled],
    ['damaged-gzip', 'an archive whose check sum is wrong', wrongSum],
  ]

  it.each(cases)('%s: %s', async (code, _, source) => {
    await expect(textOf(source as LogSource)).rejects.toBeInstanceOf(LogSourceError)
    await expect(textOf(source as LogSource)).rejects.toMatchObject({ code, name: 'LogSourceError' })
  })

  it('of an archive come behind what could be unpacked', async () => {
    let text = ''
    const read = async (): Promise<void> => {
      for await (const chunk of readChunks(packed.subarray(0, packed.length - 9)))
        text += new TextDecoder().decode(chunk)
    }
    await expect(read()).rejects.toMatchObject({ code: 'damaged-gzip' })
    expect(text).toBe(TEXT)
  })

  it('are those that the documentation lists', () => {
    const [, row = ''] =
      readFileSync(new URL('../../../../docs/api.md', import.meta.url), 'utf8').match(
        /^\| `LogSourceError` \|(.*)$/m,
      ) ?? []
    const listed = Array.from(row.matchAll(/`([\w-]+)`/g), ([, code]) => code)
    expect(listed.toSorted((a, b) => a.localeCompare(b))).toEqual(['damaged-gzip', 'not-a-source'])
    expect(new Set(cases.map(([code]) => code))).toEqual(new Set(listed))
  })
})
