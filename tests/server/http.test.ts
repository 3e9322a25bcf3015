/** The HTTP side, over real sockets: the library, recordings, reports, exports. */
import { gzipSync } from 'node:zlib'
import { openRecording } from '@firstcrank/decoder'
import { decodeFrame, recordingInfo, run as runSchema, runsPage } from '@firstcrank/feed'
import { writeLog } from '@firstcrank/simulator'
import { parquetReadObjects } from 'hyparquet'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { ask, askJson, SPEED, serve, undoAll, upload } from './support.js'

const { text: log } = writeLog('clean-first-start', { duration: 90 })
let port: number
let id: string
beforeAll(async () => {
  ;({ port } = await serve())
  id = await upload(port, log, 'first start.log')
})
afterAll(undoAll)

describe('a run', () => {
  test('is uploaded, read, and in the list', async () => {
    const { json, headers } = await ask(port, '/api/runs')
    const page = runsPage.parse(json)
    expect(page.total).toBe(1)
    expect(page.runs[0]).toMatchObject({ id, title: 'first start', state: 'ready', problem: null })
    const whole = await openRecording(new TextEncoder().encode(log))
    expect(page.runs[0]?.summary).toMatchObject({ frames: whole.counts.extended, from: whole.clock.first, dated: true })
    expect(page.runs[0]?.verdict?.verdict).toMatch(/\d+ of \d+/)
    const again = await ask(port, '/api/runs', { headers: { 'if-none-match': headers.etag as string } })
    expect([again.status, again.text]).toEqual([304, ''])
  })

  test('uploaded again, packed, is the one that is there', async () => {
    const { status, json } = await ask(port, '/api/runs?name=x', { method: 'PUT', body: gzipSync(log) })
    expect([status, json.duplicate, json.run.id]).toEqual([200, true, id])
  })

  test('is changed, with and without a condition', async () => {
    const { json, headers } = await askJson(port, `/api/runs/${id}`, 'PATCH', { vehicle: 'Rescue 1' })
    expect(runSchema.parse(json).vehicle).toBe('Rescue 1')
    const late = await ask(port, `/api/runs/${id}`, {
      method: 'PATCH',
      headers: { 'content-type': 'application/json', 'if-match': '"1"' },
      body: '{"notes":"late"}',
    })
    expect([late.status, late.json.code]).toEqual([412, 'changed'])
    const inTime = await ask(port, `/api/runs/${id}`, {
      method: 'PATCH',
      headers: { 'content-type': 'application/json', 'if-match': headers.etag as string },
      body: '{"notes":"in time"}',
    })
    expect(inTime.json.notes).toBe('in time')
    const same = await ask(port, `/api/runs/${id}`, { headers: { 'if-none-match': inTime.headers.etag as string } })
    expect(same.status).toBe(304)
  })

  test('has manual checks that are ticked and unticked', async () => {
    const path = `/api/runs/${id}/checks/coolant-level`
    expect((await askJson(port, path, 'PUT', { note: 'topped up' })).json.checks).toMatchObject([
      { check: 'coolant-level', note: 'topped up' },
    ])
    expect((await ask(port, path, { method: 'DELETE' })).json.checks).toEqual([])
  })

  test('goes to the trash only when that is confirmed, and comes back', async () => {
    const other = await upload(port, log.slice(0, log.indexOf('\n', 20_000) + 1), 'to be deleted')
    const asked = await ask(port, `/api/runs/${other}`, { method: 'DELETE' })
    expect([asked.status, asked.json.code]).toEqual([428, 'confirmation-needed'])
    expect(asked.json.detail).toContain('to be deleted')
    const done = await ask(port, `/api/runs/${other}?confirm=${other}`, { method: 'DELETE' })
    expect(done.json.trashed).toBeGreaterThan(0)
    const all = (query: string) =>
      ask(port, `/api/runs${query}`).then(({ json }) => json.runs.map((one: { id: string }) => one.id))
    expect(await all('')).toEqual([id])
    expect(await all('?trashed=only')).toEqual([other])
    await ask(port, `/api/runs/${other}/restore`, { method: 'POST' })
    expect(new Set(await all(''))).toEqual(new Set([id, other]))
  })

  test('gives its log back, whole and in ranges', async () => {
    const path = `/api/runs/${id}/log`
    const whole = await ask(port, path)
    expect(whole.text).toBe(log)
    expect(whole.headers).toMatchObject({ etag: `"${id}"`, 'content-type': 'text/plain; charset=utf-8' })
    expect(whole.headers['content-disposition']).toContain('first start.log')
    const part = await ask(port, path, { headers: { range: 'bytes=10-29' } })
    expect([part.status, part.text]).toEqual([206, log.slice(10, 30)])
    expect(part.headers['content-range']).toBe(`bytes 10-29/${log.length}`)
    expect((await ask(port, path, { headers: { 'if-none-match': `"${id}"` } })).status).toBe(304)
    const beyond = await ask(port, path, { headers: { range: `bytes=${log.length}-` } })
    expect([beyond.status, beyond.json.code]).toEqual([416, 'range-not-satisfiable'])
  })
})

describe('a recording', () => {
  test('is described as its schema says', async () => {
    const { json } = await ask(port, `/api/runs/${id}/recording`)
    const info = recordingInfo.parse(json)
    expect(info).toEqual(json)
    expect(info.signals.find(({ spn }) => spn === 190)).toMatchObject({ unit: 'rpm', valid: true, group: 'EEC1' })
    expect(info.complete).toBe(true)
  })

  test('answers windows, moments and pages like the library does', async () => {
    const whole = await openRecording(new TextEncoder().encode(log))
    const speed = whole.signal({ spn: 190, sa: 0 })
    const from = whole.clock.first as number
    const to = whole.clock.last as number
    const { bytes } = await askJson(port, `/api/runs/${id}/window`, 'POST', {
      signals: [SPEED],
      from,
      to,
      columns: 200,
    })
    const [entry] = decodeFrame(bytes).entries
    const expected = speed?.overview(from, to, 200)
    expect(entry?.columns).toMatchObject({ form: 'overview', least: expected?.least, last: expected?.last })

    const moment = await askJson(port, `/api/runs/${id}/moment`, 'POST', { signals: [SPEED], time: to })
    expect(moment.json[0]).toMatchObject({ status: 'valid', value: speed?.values().at(-1) })

    const { json } = await askJson(port, `/api/runs/${id}/messages`, 'POST', { row: 1_000, limit: 3, pgn: 61444 })
    expect(json).toMatchObject({ row: 1_000, total: speed?.count })
    expect(json.messages.map(({ time }: { time: number }) => time)).toEqual([
      ...(speed?.stream.times(1_000, 1_003) ?? []),
    ])
  })

  test('has a report as data, page and text; the page runs nothing', async () => {
    const { json, headers } = await ask(port, `/api/runs/${id}/report`)
    expect(json).toMatchObject({ schema: 'firstcrank.report', recording: { name: 'first start' } })
    expect(
      (await ask(port, `/api/runs/${id}/report`, { headers: { 'if-none-match': headers.etag as string } })).status,
    ).toBe(304)
    const page = await ask(port, `/api/runs/${id}/report.html`)
    expect(page.text).toMatch(/^<!doctype html>/i)
    expect(page.headers['content-security-policy']).toMatch(/default-src 'none'.*sandbox/)
    expect((await ask(port, `/api/runs/${id}/report.txt?units=us`)).text).toContain('first start')
    expect((await ask(port, `/api/runs/${id}/report.md`)).text).toMatch(/^# /)
  })

  test('has a report by the profile it is given', async () => {
    const profile = { version: 1, title: 'Bench engine' }
    await askJson(port, `/api/runs/${id}`, 'PATCH', { profile })
    for (let tries = 0; (await ask(port, `/api/runs/${id}`)).json.state === 'reading' && tries < 200; tries++) {
      await new Promise((resolve) => setTimeout(resolve, 25))
    }
    expect((await ask(port, `/api/runs/${id}/report`)).json.profile).toEqual({ title: 'Bench engine' })
    const refused = await askJson(port, `/api/runs/${id}`, 'PATCH', {
      profile: { version: 1, title: 'x', engine: { cylinders: 99 } },
    })
    expect([refused.status, refused.json.code]).toEqual([422, 'bad-profile'])
    expect(refused.json.errors[0].path).toBe('engine.cylinders')
    await askJson(port, `/api/runs/${id}`, 'PATCH', { profile: null })
  })
})

describe('a comparison', () => {
  test('of two runs, as data and to be read', async () => {
    const other = await upload(port, writeLog('clean-first-start', { duration: 60, seed: 5 }).text, 'after the repair')
    const path = `before=${id}&after=${other}&same_vehicle=true`
    const { json } = await ask(port, `/api/compare?${path}`)
    expect(json).toMatchObject({
      schema: 'firstcrank.comparison',
      before: { title: 'first start' },
      after: { title: 'after the repair' },
    })
    for (const [suffix, type, words] of [
      ['txt', 'text/plain', 'after the repair'],
      ['md', 'text/markdown', '# '],
      ['html', 'text/html', '<!doctype html>'],
    ]) {
      const { status, text, headers } = await ask(port, `/api/compare.${suffix}?${path}&units=us`)
      expect([status, headers['content-type']]).toEqual([200, `${type}; charset=utf-8`])
      expect(text.toLowerCase()).toContain(words)
      expect(headers['content-security-policy']).toMatch(/^default-src 'none'.*sandbox$/)
    }
  })

  test.each<[string, () => string, number, string]>([
    ['one run', () => `before=${id}`, 400, 'bad-request'],
    ['a run that is not there', () => `before=${id}&after=${'0'.repeat(32)}`, 404, 'run-not-found'],
    ['a path', () => `before=${id}&after=../etc`, 400, 'bad-request'],
    ['other units', () => `before=${id}&after=${id}&units=none`, 400, 'bad-request'],
    ['a field too many', () => `before=${id}&after=${id}&more=1`, 400, 'bad-request'],
  ])('of %s is refused, in every form', async (_, query, status, code) => {
    for (const form of ['', '.html', '.md', '.txt']) {
      const answer = await ask(port, `/api/compare${form}?${query()}`)
      expect([answer.status, answer.json?.code]).toEqual([status, code])
    }
  })
})

describe('exports', async () => {
  const whole = await openRecording(new TextEncoder().encode(log))
  const { time, value } = whole.signal({ spn: 190, sa: 0 })?.samples() ?? { time: [], value: [] }
  const valid = [...time].map((at, row) => [at, value[row]]).filter(([, number]) => !Number.isNaN(number as number))
  const path = (format: string) => `/api/runs/${id}/values.${format}?spn=190&sa=0`

  test('as comma-separated values', async () => {
    const { text, headers } = await ask(port, path('csv'))
    const [head, ...rows] = text.trimEnd().split('\r\n')
    expect(head).toBe('t,channel,pgn,sa,da,spn,name,value,unit,raw,status,label,text,instance')
    expect(headers['content-type']).toContain('text/csv')
    const fields = rows.map((row) => row.split(','))
    expect(fields.map((row) => [Math.round(Number(row[0]) * 1e6), Number(row[7])])).toEqual(valid)
    expect(fields[0]?.[0]).toMatch(/^\d+\.\d{6}$/)
    expect(fields[0]?.slice(1, 7)).toEqual(['can0', '61444', '0', '255', '190', 'Engine speed'])
    expect(Number(fields[0]?.[9]) / 8).toBe(Number(fields[0]?.[7]))
  })

  test('as JSON, one object a line', async () => {
    const { text } = await ask(port, path('ndjson'))
    const rows = text
      .trimEnd()
      .split('\n')
      .map((row) => JSON.parse(row))
    expect(rows.map((row) => [Math.round(row.t * 1e6), row.value])).toEqual(valid)
    expect(Object.keys(rows[0])).toEqual([
      't',
      'channel',
      'pgn',
      'sa',
      'da',
      'spn',
      'name',
      'value',
      'unit',
      'raw',
      'status',
    ])
  })

  test('as Parquet', async () => {
    const { bytes } = await ask(port, path('parquet'))
    const file = bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length) as ArrayBuffer
    const rows = await parquetReadObjects({ file })
    expect(rows.map((row) => [(row['t'] as Date).getTime(), row['value']])).toEqual(
      valid.map(([at, number]) => [Math.floor((at as number) / 1_000), number]),
    )
    expect(rows[0]).toMatchObject({ channel: 'can0', sa: 0, spn: 190, unit: 'rpm' })
  })

  test('of a stretch of time, and with what has no value', async () => {
    const [from, to] = [time[100], time[199]]
    const { text } = await ask(port, `${path('csv')}&from=${from}&to=${to}&all=true`)
    expect(text.trimEnd().split('\r\n')).toHaveLength(101)
    const all = await ask(port, `/api/runs/${id}/values.ndjson?all=true&from=${from}&to=${(from as number) + 2e5}`)
    const statuses = new Set(
      all.text
        .trimEnd()
        .split('\n')
        .map((row) => JSON.parse(row).status),
    )
    expect(statuses).toContain('not-available')
  })
})

describe('the server', () => {
  test('describes itself: every route of the document is there', async () => {
    const { json, headers } = await ask(port, '/openapi.json')
    expect(json.openapi).toBe('3.1.0')
    const again = await ask(port, '/openapi.json', { headers: { 'if-none-match': headers.etag ?? 'none' } })
    expect([again.status, again.text]).toEqual([304, ''])
    const operations = Object.entries(json.paths as Record<string, object>).flatMap(([path, methods]) =>
      Object.keys(methods).map((method) => [method, path] as const),
    )
    expect(operations.length).toBeGreaterThan(20)
    for (const [method, path] of operations) {
      const { json: answer, status } = await ask(port, path.replaceAll(/\{\w+\}/g, 'none'), {
        method: method.toUpperCase(),
      })
      expect([status, answer?.code], `${method} ${path}`).not.toEqual([404, 'not-found'])
      expect(status, `${method} ${path}`).not.toBe(405)
    }
    for (const operation of Object.values(json.paths).flatMap((methods) => Object.values(methods as object))) {
      expect(Object.keys(operation.responses)).toContain('400')
    }
  })

  test('tells how it is', async () => {
    const { status, json } = await ask(port, '/healthz')
    expect([status, json.status, json.problems]).toEqual([200, 'ok', []])
  })

  test('tells what it measures in the OpenMetrics form', async () => {
    const { text, headers } = await ask(port, '/metrics')
    expect(headers['content-type']).toContain('application/openmetrics-text; version=1.0.0')
    expect(text.endsWith('# EOF\n')).toBe(true)
    for (const line of text.split('\n').filter((row) => row !== '' && !row.startsWith('#'))) {
      expect(line).toMatch(/^firstcrank_[a-z_]+(\{[a-z]+="[^"]*"\})? [\d.e+-]+$/)
    }
    expect(text).toMatch(/^firstcrank_requests_total\{status="2xx"\} [1-9]/m)
  })

  test('has a plain page where the viewer is not built, and explains its codes', async () => {
    expect((await ask(port, '/')).text).toContain('npm run build')
    expect((await ask(port, '/runs/1', { headers: { accept: 'text/html' } })).text).toContain('npm run build')
    expect((await ask(port, '/problems/too-large')).text).toContain('413')
  })
})
