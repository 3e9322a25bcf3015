/** What `serve` shows to a person at a terminal, and to nobody else. */
import { Readable, Writable } from 'node:stream'
import { describe, expect, test } from 'vitest'
import { Output } from './output.js'
import { sayCode } from './serve.js'

async function shown(isTTY: boolean, url: string | undefined): Promise<string> {
  let text = ''
  const stream = new Writable({
    write(chunk: Buffer, _encoding, done) {
      text += chunk.toString()
      done()
    },
  })
  const stdout = Object.assign(stream, { isTTY })
  const output = new Output(stdout)
  sayCode('ABCD-EFGH', url, { stdin: Readable.from([]), stdout, stderr: stdout }, output)
  await output.flush()
  return text
}

describe('the pairing code', () => {
  const url = 'http://192.168.1.5:8321/pair'

  test('is a QR code with its address at a terminal: as high as wide, with an empty edge', async () => {
    const text = await shown(true, url)
    expect(text).toContain('Code for the next device: ABCD-EFGH')
    expect(text).toContain(`  ${url}?code=ABCD-EFGH`)
    const lines = text.split('\n').filter((line) => /^[█▀▄ ]+$/.test(line))
    // Version 3 at least: 29 modules and four on each side, two of them to a line.
    expect(lines[0]?.length).toBeGreaterThanOrEqual(37)
    expect(lines.length).toBe(Math.ceil((lines[0]?.length ?? 0) / 2))
    expect(lines[0]).toMatch(/^█+$/)
  })

  test.each([
    [false, url],
    [true, undefined],
  ])('is words alone where no person looks or no address is known: %s %s', async (isTTY, address) => {
    expect(await shown(isTTY, address)).toBe('\nCode for the next device: ABCD-EFGH\n')
  })
})
