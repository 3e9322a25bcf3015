import { describe, expect, it } from 'vitest'
import { utf8 } from '../../../../tests/support/log.js'
import type { Message } from '../bus/message.js'
import { Identifications } from './identifications.js'

const message = (time: number, text: string, more: Partial<Message> = {}): Message => ({
  ...{ channel: 0, priority: 6, pgn: 65259, sa: 0, da: 255, firstTime: time - 100, time },
  ...{ payload: utf8(text), transport: 'bam' },
  ...more,
})

describe('identifications', () => {
  it('are kept once for each node and text, with when they were first and last sent', () => {
    const texts = new Identifications()
    texts.take(message(1000, 'OWN*DEMO*0001*A*'))
    texts.take(message(2000, 'OWN*DEMO*0001*A*'))
    texts.take(message(3000, 'OWN*DEMO*0002*A*'))
    texts.take(message(4000, 'OWN*DEMO*0001*A*', { sa: 3 }))
    texts.take(message(5000, 'OWN*DEMO*0001*A*', { channel: 1 }))
    texts.take(message(6000, 'OWN*DEMO*0001*A*'))
    expect(
      texts.list.map(({ channel, sa, firstTime, lastTime, fields }) => [
        channel,
        sa,
        firstTime,
        lastTime,
        fields[2].text,
      ]),
    ).toEqual([
      [0, 0, 1000, 6000, '0001'],
      [0, 0, 3000, 3000, '0002'],
      [0, 3, 4000, 4000, '0001'],
      [1, 0, 5000, 5000, '0001'],
    ])
    expect(texts.ignored).toBe(0)
  })

  it('with a text and with none are not the same', () => {
    const texts = new Identifications()
    for (const text of ['*B*', '\xff*B*', 'A*B*']) texts.take(message(1, text))
    texts.take(message(2, '', { payload: Uint8Array.of(0xff, 0x2a, 0x42, 0x2a) }))
    expect(texts.list.map(({ fields }) => fields[0].status)).toEqual(['valid', 'valid', 'valid', 'not-available'])
  })

  it('come from four groups', () => {
    expect([65259, 65242, 64965, 65260, 65261, 65226].map((pgn) => Identifications.takes(pgn))).toEqual([
      ...[true, true, true, true, false, false],
    ])
    const texts = new Identifications()
    texts.take(message(1, 'text', { pgn: 65226 }))
    expect(texts.list).toEqual([])
  })

  it('are limited in number; what is known goes on being followed', () => {
    const texts = new Identifications()
    for (let number = 0; number < 4100; number++) texts.take(message(number, `OWN*${number}*`))
    texts.take(message(9000, 'OWN*0*'))
    expect(texts.list).toHaveLength(4096)
    expect(texts.ignored).toBe(4)
    expect(texts.list[0].lastTime).toBe(9000)
  })
})
