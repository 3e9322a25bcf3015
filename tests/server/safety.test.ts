/** What must not work: one test for each defence in docs/safety.md; other devices are in pairing.test.ts. */
import { mkdtemp, readdir, rm, writeFile } from 'node:fs/promises'
import { connect } from 'node:net'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest'
import {
  type Answer,
  ask,
  askJson,
  expectProblem,
  later,
  pipe,
  serve,
  speedLine,
  undoAll,
  undoSockets,
  upgradeStatus,
  upload,
} from './support.js'

const LOG = Array.from({ length: 50 }, (_, n) => speedLine(1_700_000_000_000_000 + n * 10_000, 8_000 + n)).join('')
const NAME = 'firstcrank.test'

let port: number
let folder: string
let viewerFolder: string
let id: string
beforeAll(async () => {
  viewerFolder = await mkdtemp(join(tmpdir(), 'firstcrank-viewer-'))
  later(() => rm(viewerFolder, { recursive: true }))
  await writeFile(join(viewerFolder, 'index.html'), '<!doctype html><title>the viewer</title>')
  await writeFile(join(viewerFolder, 'app.js'), 'export {}')
  await writeFile(join(viewerFolder, '.secret'), 'hidden')
  const server = await serve({
    // As on a network, but reached through this machine's own address: by its name it is not "from here".
    lan: true,
    host: '127.0.0.1',
    allowHosts: [NAME],
    viewer: viewerFolder,
    maxUpload: 100_000,
    maxUnpacked: 1_000_000,
    maxClients: 3,
    live: [{ source: pipe('a live bus').source, record: false }],
  })
  ;({ port } = server)
  folder = server.library.folder.path
  id = await upload(port, LOG)
})
afterAll(undoAll)

describe('a name that points here (DNS rebinding)', () => {
  test.each(['evil.example', 'evil.example:80', '127.0.0.1.evil.example', 'localhost.', 'a b', '[::2]', '169.254.1.1'])(
    'is turned away: %j',
    async (host) => {
      expectProblem(await ask(port, '/api/runs', { headers: { host } }), 421, 'wrong-host')
      expect(await upgradeStatus(port, { headers: { host } })).toBe(421)
    },
  )

  test.each(['localhost', '127.0.0.1:1234', '[::1]', 'LOCALHOST:1'])('is fine where it is ours: %j', async (host) => {
    expect((await ask(port, '/api/server', { headers: { host } })).status).toBe(200)
  })
})

describe('a page of another site', () => {
  test.each(['cross-site', 'same-site'])('cannot change anything: %s', async (site) => {
    const asked = {
      method: 'POST',
      headers: { 'sec-fetch-site': site, 'content-type': 'application/json' },
      body: '{}',
    }
    expectProblem(await ask(port, '/api/sources', asked), 403, 'wrong-origin')
    expectProblem(await ask(port, `/api/runs/${id}`, { ...asked, method: 'DELETE' }), 403, 'wrong-origin')
  })

  test.each(['http://evil.example', 'null', 'http://localhost:1', 'https://evil.example:443'])(
    'cannot change anything by an old browser, nor open the feed: %s',
    async (origin) => {
      const put = await ask(port, '/api/runs', { method: 'PUT', headers: { origin }, body: LOG })
      expectProblem(put, 403, 'wrong-origin')
      expect(await upgradeStatus(port, { headers: { origin } })).toBe(403)
    },
  )

  test('cannot send a form: only JSON is read', async () => {
    const form = { method: 'PATCH', headers: { 'content-type': 'text/plain' }, body: '{"notes":"x"}' }
    expectProblem(await ask(port, `/api/runs/${id}`, form), 415, 'unsupported-media-type')
  })

  test('our own page may do both', async () => {
    const origin = `http://127.0.0.1:${port}`
    const headers = { origin, 'sec-fetch-site': 'same-origin' }
    expect((await ask(port, '/api/runs', { method: 'PUT', headers, body: LOG })).status).toBe(200)
    expect(await upgradeStatus(port, { headers: { origin } })).toBe(101)
    await undoSockets()
  })
})

describe('paths', () => {
  test.each([
    '/../../../../etc/passwd',
    '/..%2f..%2f..%2fetc%2fpasswd',
    '/%2e%2e/%2e%2e/etc/passwd',
    '/....//....//etc/passwd',
    '/.secret',
    '/%2esecret',
    '/app.js/../.secret',
    '/..\\..\\library.db',
    '/app.js%00.html',
    '/assets/',
    '/logs/',
  ])('%s gives no file', async (path) => {
    const { status, text } = await ask(port, path)
    expect(text).not.toMatch(/root:|hidden|SQLite/)
    expect([status, text.includes('the viewer')]).not.toEqual([200, false])
  })

  test.each([
    '/api/runs/../server',
    '/api/runs/..%2f..%2fetc%2fpasswd/log',
    `/api/runs/${'0'.repeat(31)}/log`,
    `/api/runs/${'0'.repeat(33)}`,
    '/api/runs/%00/log',
    '/api/runs/%E0%A4%A/log',
    `/api/runs/${'A'.repeat(32)}/log`,
  ])('%s is no run', async (path) => {
    const { status, json } = await ask(port, path)
    expect([400, 404]).toContain(status)
    expect(['bad-request', 'not-found', 'run-not-found']).toContain(json.code)
  })

  test('a name that an upload claims is no path', async () => {
    const log = speedLine(1_700_000_100_000_000, 8_001)
    const name = '../../../../tmp/firstcrank-outside.log'
    const run = await upload(port, log, name)
    expect((await ask(port, `/api/runs/${run}`)).json).toMatchObject({
      title: 'firstcrank-outside',
      file: { name: `${run}.log` },
    })
    expect(await readdir(join(folder, 'logs'))).toContain(`${run}.log`)
    const { headers } = await ask(port, `/api/runs/${run}/log`)
    expect(headers['content-disposition']).toBe('attachment; filename=firstcrank-outside.log')
  })
})

describe('uploads', () => {
  const put = (body: string | Uint8Array, headers: Record<string, string> = {}) =>
    ask(port, '/api/runs', { method: 'PUT', body, headers })

  test.each<[string, () => Promise<Answer>, number, string]>([
    [
      'that say they are too long',
      () => put('x', { 'content-length': '100001', connection: 'close' }),
      413,
      'too-large',
    ],
    [
      'that are too long and do not say so',
      () => put('x'.repeat(200_000), { 'transfer-encoding': 'chunked' }),
      413,
      'too-large',
    ],
    ['that unpack to too much', () => put(gzipSync(LOG.repeat(2_000))), 413, 'unpacked-too-large'],
    ['of nothing', () => put(''), 422, 'not-a-log'],
    ['of a page', () => put('<!doctype html><script>alert(1)</script>'), 422, 'not-a-log'],
    ['of a program', () => put(Uint8Array.of(0x7f, 0x45, 0x4c, 0x46, 2, 1, 1, 0)), 422, 'not-a-log'],
    [
      'with an endless name',
      () => ask(port, `/api/runs?name=${'n'.repeat(400)}`, { method: 'PUT', body: LOG }),
      400,
      'bad-request',
    ],
  ])('%s are refused, and leave nothing', async (_, send, status, code) => {
    const before = await readdir(join(folder, 'logs'))
    expectProblem(await send(), status, code)
    expect(await readdir(join(folder, 'logs'))).toEqual(before)
  })

  test('that break off are no mistake of the server', async () => {
    const socket = connect(port, '127.0.0.1')
    socket.on('error', () => undefined)
    socket.write(`PUT /api/runs?name=gone HTTP/1.1\r\nHost: localhost\r\nContent-Length: 90000\r\n\r\n${LOG}`)
    await vi.waitUntil(async () => (await readdir(join(folder, 'logs'))).some((name) => name.startsWith('.upload')))
    socket.destroy()
    await vi.waitUntil(async () => !(await readdir(join(folder, 'logs'))).some((name) => name.startsWith('.')))
    expect((await ask(port, '/metrics')).text).not.toContain('code="internal"')
  })

  test('are never run: a log is sent as a file of plain text', async () => {
    const { headers } = await ask(port, `/api/runs/${id}/log`)
    expect(headers).toMatchObject({ 'content-type': 'text/plain; charset=utf-8', 'x-content-type-options': 'nosniff' })
    expect(headers['content-disposition']).toMatch(/^attachment/)
  })
})

describe('requests in the wrong form', () => {
  const window = { signals: [{ channel: 'can0', sa: 0, pgn: 61444, spn: 190 }], from: 0, to: 1, columns: 10 }
  const post = (path: string, body: unknown) => askJson(port, path, 'POST', body)

  test.each<[string, () => Promise<Answer>, number, string]>([
    [
      'no JSON',
      () => ask(port, '/api/sources', { method: 'POST', headers: { 'content-type': 'application/json' }, body: '{' }),
      400,
      'bad-request',
    ],
    ['JSON that is no object', () => post('/api/sources', [1]), 400, 'bad-request'],
    ['a field too many', () => post('/api/sources', { run: id, whatever: 1 }), 400, 'bad-request'],
    ['no run', () => post('/api/sources', {}), 400, 'bad-request'],
    ['a run that is not there', () => post('/api/sources', { run: 'f'.repeat(32) }), 404, 'run-not-found'],
    ['an impossible speed', () => post('/api/sources', { run: id, speed: 1e9 }), 400, 'bad-request'],
    ['a body too long', () => post('/api/sources', { run: 'x'.repeat(300_000) }), 413, 'too-large'],
    [
      'JSON in too many layers',
      () =>
        ask(port, `/api/runs/${id}`, {
          method: 'PATCH',
          headers: { 'content-type': 'application/json' },
          body: deep(20_000),
        }),
      400,
      'bad-request',
    ],
    [
      'an object that pollutes',
      () =>
        ask(port, `/api/runs/${id}`, {
          method: 'PATCH',
          headers: { 'content-type': 'application/json' },
          body: '{"__proto__":{"title":"x"},"constructor":1}',
        }),
      400,
      'bad-request',
    ],
    ['a query too many', () => ask(port, '/api/runs?limit=1&order=up'), 400, 'bad-request'],
    ['a query twice', () => ask(port, '/api/runs?limit=1&limit=2'), 400, 'bad-request'],
    ['a number that is none', () => ask(port, '/api/runs?limit=many'), 400, 'bad-request'],
    ['no signals', () => post(`/api/runs/${id}/window`, { ...window, signals: [] }), 400, 'bad-request'],
    [
      'too many signals',
      () => post(`/api/runs/${id}/window`, { ...window, signals: Array(65).fill(window.signals[0]) }),
      400,
      'bad-request',
    ],
    ['no columns', () => post(`/api/runs/${id}/window`, { ...window, columns: 0 }), 400, 'bad-request'],
    ['too many columns', () => post(`/api/runs/${id}/window`, { ...window, columns: 1e9 }), 400, 'bad-request'],
    [
      'a window that ends before it begins',
      () => post(`/api/runs/${id}/window`, { ...window, from: 2 }),
      400,
      'bad-request',
    ],
    ['a time that is none', () => post(`/api/runs/${id}/window`, { ...window, from: null }), 400, 'bad-request'],
    [
      'a signal that is not there',
      () => post(`/api/runs/${id}/window`, { ...window, signals: [{ ...window.signals[0], spn: 1 }] }),
      404,
      'signal-not-found',
    ],
    [
      'an export of too many signals',
      () => ask(port, `/api/runs/${id}/values.csv?spn=${Array(99).fill(1).join(',')}`),
      400,
      'bad-request',
    ],
    ['an export of no such format', () => ask(port, `/api/runs/${id}/values.exe`), 404, 'not-found'],
    [
      'a check with a path for a name',
      () => askJson(port, `/api/runs/${id}/checks/..%2fx`, 'PUT', {}),
      400,
      'bad-request',
    ],
    ['another method', () => ask(port, '/api/runs', { method: 'POST' }), 405, 'method-not-allowed'],
    ['a source that is not there', () => ask(port, '/api/sources/none'), 404, 'source-not-found'],
    [
      'a live source that is steered',
      async () => post(`/api/sources/${(await ask(port, '/api/sources')).json.sources[0].id}/control`, { do: 'pause' }),
      409,
      'not-a-replay',
    ],
    [
      'another order',
      async () =>
        post(`/api/sources/${(await ask(port, '/api/sources')).json.sources[0].id}/control`, {
          do: 'send',
          frame: '123#00',
        }),
      400,
      'bad-request',
    ],
  ])('%s', async (_, send, status, code) => {
    expectProblem(await send(), status, code)
  })

  test('nothing of it has changed the run', async () => {
    expect((await ask(port, `/api/runs/${id}`)).json).toMatchObject({ title: 'run', notes: '' })
    expect(Object.prototype).not.toHaveProperty('title')
  })
})

describe('answers', () => {
  test('tell browsers to run nothing but the viewer, without asking for HTTPS', async () => {
    const { headers } = await ask(port, '/')
    const policy = headers['content-security-policy'] as string
    expect(policy).toContain("script-src 'self'")
    expect(policy).toContain("frame-ancestors 'none'")
    expect(policy).not.toMatch(/unsafe|upgrade-insecure-requests|\*/)
    expect(headers).toMatchObject({ 'x-content-type-options': 'nosniff', 'referrer-policy': 'no-referrer' })
    expect(headers).not.toHaveProperty('strict-transport-security')
    expect(headers).not.toHaveProperty('x-powered-by')
    expect(headers).not.toHaveProperty('access-control-allow-origin')
  })

  test('say nothing of the inside', async () => {
    for (const path of ['/api/runs/x', '/api/nothing', '/nothing.js']) {
      expect((await ask(port, path)).text).not.toMatch(/node_modules|\.ts|\.js:\d|at \w+ \(/)
    }
  })
})

describe('connections', () => {
  test('that never say what they want are closed', async () => {
    // The time-outs themselves are the platform's; here is that they are set.
    const socket = connect(port, '127.0.0.1')
    later(() => socket.destroy())
    socket.on('error', () => undefined)
    socket.write('NONSENSE\r\n\r\n')
    const answer = await new Promise<string>((resolve) => {
      let text = ''
      socket.on('data', (chunk) => {
        text += chunk
      })
      socket.on('close', () => resolve(text))
    })
    expect(answer).toMatch(/^HTTP\/1\.1 400/)
  })

  test('to the feed are as many as allowed', async () => {
    expect(await upgradeStatus(port, {})).toBe(101)
    expect(await upgradeStatus(port, {})).toBe(101)
    expect(await upgradeStatus(port, {})).toBe(101)
    expect(await upgradeStatus(port, {})).toBe(503)
    await undoSockets()
  })

  test('to the feed speak its version', async () => {
    expect(await upgradeStatus(port, { protocol: '' })).toBe(426)
    expect(await upgradeStatus(port, { protocol: 'firstcrank.99' })).toBe(426)
    expect(await upgradeStatus(port, { path: '/elsewhere' })).toBe(404)
  })

  test('too many requests in a moment are refused', async () => {
    const socket = connect(port, '127.0.0.1')
    later(() => socket.destroy())
    let text = ''
    socket.on('data', (chunk) => {
      text += chunk
    })
    // All in one go: the server reads them as fast as it can.
    socket.write('GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n'.repeat(1_500))
    await vi.waitUntil(() => (text.match(/HTTP\/1\.1 \d/g)?.length ?? 0) >= 1_500, { timeout: 20_000 })
    expect(text).toContain('HTTP/1.1 429 ')
    expect(text).toContain('Retry-After: 1')
    expect(text.match(/HTTP\/1\.1 200 /g)?.length).toBeGreaterThan(500)
  })
})

/** JSON in so many layers. */
function deep(layers: number): string {
  return `${'{"notes":'.repeat(layers)}1${'}'.repeat(layers)}`
}
