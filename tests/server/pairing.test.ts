/** Devices on the network: what they get before they are paired, how they are paired, what they get then. */
import { readdir, readFile, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import {
  type Answer,
  type Asked,
  ask,
  askJson,
  expectProblem,
  newFolder,
  serve,
  speedLine,
  undoAll,
  undoSockets,
  upgradeStatus,
  upload,
} from './support.js'

const LOG = speedLine(1_700_000_000_000_000, 8_000)
const NAME = 'firstcrank.test'

let port: number
let folder: string
let id: string
const codes: string[] = []
beforeAll(async () => {
  const viewer = await newFolder()
  await writeFile(join(viewer, 'index.html'), '<!doctype html><title>the viewer</title>')
  const server = await serve({
    // As on a network, but reached through this machine's own address: by its name it is not "from here".
    ...{ lan: true, host: '127.0.0.1', allowHosts: [NAME], viewer },
    onCode: (code) => codes.push(code),
  })
  ;({ port } = server)
  folder = server.library.folder.path
  id = await upload(port, LOG)
})
afterAll(undoAll)

/** Asks as another device on the network does. */
const fromAway = (path: string, asked: Asked = {}): Promise<Answer> =>
  ask(port, path, { ...asked, headers: { host: NAME, ...asked.headers } })

describe('another device', () => {
  const data = ['/api/runs', '/api/sources', '/metrics', '/api/nothing']

  test.each(data)('that is not paired gets nothing of %s', async (path) => {
    expectProblem(await fromAway(path), 401, 'pairing-needed')
    expectProblem(await fromAway(path, { headers: { cookie: 'firstcrank=guessed' } }), 401, 'pairing-needed')
    expectProblem(
      await fromAway(path, { headers: { authorization: `Bearer ${'x'.repeat(43)}` } }),
      401,
      'pairing-needed',
    )
  })

  test('that is not paired gets no feed, and no run', async () => {
    expect(await upgradeStatus(port, { headers: { host: NAME } })).toBe(401)
    expectProblem(await fromAway(`/api/runs/${id}/log`), 401, 'pairing-needed')
    expectProblem(await fromAway('/api/runs', { method: 'PUT', body: LOG }), 401, 'pairing-needed')
  })

  test.each(['/API/RUNS', '/api/RUNS', '/api/runs/', '/Metrics', '/metrics/', '/%61pi/runs', '//api/runs'])(
    'that is not paired gets nothing by another spelling: %s',
    async (path) => {
      expect([401, 404]).toContain((await fromAway(path)).status)
      expect([401, 404]).toContain((await fromAway(`${path}/${id}/log`)).status)
    },
  )

  test('that is not paired changes nothing by another spelling', async () => {
    const { status } = await fromAway(`/API/runs/${id}?confirm=${id}`, { method: 'DELETE' })
    expect([401, 404]).toContain(status)
    expect((await ask(port, `/api/runs/${id}`)).json.trashed).toBeNull()
  })

  test('that hides behind a proxy of this machine is another device', async () => {
    const proxied = await ask(port, '/api/runs', { headers: { host: 'localhost', 'x-forwarded-for': '10.0.0.9' } })
    expectProblem(proxied, 401, 'pairing-needed')
  })

  test('that is not paired is led to the page in which it is', async () => {
    for (const path of ['/', '/anywhere']) {
      const { status, headers } = await fromAway(path, { headers: { accept: 'text/html' } })
      expect([status, headers.location]).toEqual([303, '/pair'])
    }
    const page = await fromAway('/pair?code=ABCD-EFGH')
    expect(page.text).toContain('<form method="post" action="/pair">')
    expect(page.text).toContain('value="ABCD-EFGH"')
    const policy = page.headers['content-security-policy'] as string
    expect(policy).toMatch(/^default-src 'none'; style-src 'sha256-[\w+/=]+'; form-action 'self'; /)
    expect((await fromAway('/api/server')).json.lan).toBe(true)
    expect((await fromAway('/healthz')).status).toBe(200)
  })

  test.each(['"><script>alert(1)</script>', '%22%3E%3Cb%3E', '&code=x', 'a'.repeat(30)])(
    'gets nothing of an address into that page: %s',
    async (code) => {
      expect((await fromAway(`/pair?code=${encodeURIComponent(code)}`)).text).toContain('value=""')
      expect((await fromAway(`/pair?code=${encodeURIComponent('A')}&code=B`)).text).toContain('value=""')
    },
  )

  test('is paired by the form of that page, from that page only', async () => {
    const send = (typed: string, headers: Record<string, string> = {}) =>
      fromAway('/pair', {
        method: 'POST',
        headers: { 'content-type': 'application/x-www-form-urlencoded', ...headers },
        body: `code=${encodeURIComponent(typed)}`,
      })
    const code = codes.at(-1) as string
    expectProblem(await send(code, { origin: 'http://evil.example' }), 403, 'wrong-origin')
    expectProblem(await send(code, { 'sec-fetch-site': 'cross-site' }), 403, 'wrong-origin')
    const wrong = await send('AAAA-AAAA')
    expect([wrong.status, wrong.headers['set-cookie']]).toEqual([403, undefined])
    expect(wrong.text).toContain('The pairing code is wrong')
    const right = await send(code, { origin: `http://${NAME}`, 'sec-fetch-site': 'same-origin' })
    expect([right.status, right.headers.location]).toEqual([303, '/'])
    const cookie = (right.headers['set-cookie'] as [string])[0].split(';')[0] as string
    expect((await fromAway('/api/runs', { headers: { cookie } })).status).toBe(200)
    expect((await fromAway('/', { headers: { cookie, accept: 'text/html' } })).text).toContain('the viewer')
    expect((await fromAway('/pair', { headers: { cookie } })).headers.location).toBe('/')
  })

  test('is paired by the code the owner sees, once', async () => {
    const code = codes.at(-1) as string
    expect(code).toMatch(/^[A-Z2-9]{4}-[A-Z2-9]{4}$/)
    const pair = (typed: string) =>
      fromAway('/api/pair', {
        method: 'POST',
        headers: { 'content-type': 'application/json' },
        body: JSON.stringify({ code: typed, device: 'a phone' }),
      })
    expectProblem(await pair('AAAA-AAAA'), 403, 'wrong-code')
    const paired = await pair(code.toLowerCase().replace('-', ' '))
    expect(paired.json).toEqual({ paired: true })
    const [cookie] = paired.headers['set-cookie'] as [string]
    expect(cookie).toMatch(/^firstcrank=[\w-]{43}; Max-Age=\d+; Path=\/; Expires=[^;]+; HttpOnly; SameSite=Strict$/)
    const [pairText] = cookie.split(';') as [string]
    expect((await fromAway('/api/runs', { headers: { cookie: pairText } })).status).toBe(200)
    expect(await upgradeStatus(port, { headers: { host: NAME, cookie: pairText } })).toBe(101)
    await undoSockets()
    const bearer = { authorization: `Bearer ${pairText.split('=')[1]}` }
    expect((await fromAway('/api/sources', { headers: bearer })).status).toBe(200)
    expectProblem(await pair(code), 403, 'wrong-code')
    // What is kept cannot be used to get in.
    for (const name of await readdir(folder)) {
      if (!name.startsWith('library.db')) continue
      expect(await readFile(join(folder, name), 'latin1')).not.toContain(pairText.split('=')[1])
    }
  })

  test('cannot try codes until one fits', async () => {
    const answers: number[] = []
    for (let tries = 0; tries < 8; tries++) {
      answers.push((await askJson(port, '/api/pair', 'POST', { code: `AAAA-AAA${tries}` })).status)
    }
    expect(answers).toContain(429)
    expect(answers).not.toContain(200)
  })
})

test('a server that answers to another name shows a code for whoever comes by it', async () => {
  const shown: string[] = []
  await serve({ allowHosts: [NAME], onCode: (code) => shown.push(code) })
  await serve({ onCode: (code) => shown.push(code) })
  expect(shown).toHaveLength(1)
})
