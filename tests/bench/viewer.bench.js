/**
 * The viewer in headless Chromium: how soon a large log is there, how smoothly eight plots follow a hand,
 * what a live page costs, and how much script is loaded first.
 *
 *     npm run bench:viewer
 *     LINES=1000000 npm run bench:viewer
 */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { createServer } from 'node:http'
import { tmpdir } from 'node:os'
import { extname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { gzipSync } from 'node:zlib'
import { startServer } from '@firstcrank/server'
import { chromium } from 'playwright-core'
import { writeDrives } from './drive-corpus.js'

const LINES = Number(process.env.LINES ?? 5_000_000)
const DIST = fileURLToPath(new URL('../../apps/viewer/dist/', import.meta.url))
const EXECUTABLE = process.env.FIRSTCRANK_CHROMIUM ?? '/usr/bin/chromium'
const LAPTOP = { width: 1280, height: 800 }
const TYPES = { '.html': 'text/html', '.js': 'text/javascript', '.css': 'text/css', '.svg': 'image/svg+xml' }
/** What is asked, and by how much more is shown as failed. */
const results = []
const judge = (what, value, unit, most) => results.push({ what, value, unit, most, holds: value <= most })

const folder = mkdtempSync(join(tmpdir(), 'firstcrank-bench-'))
const browser = await chromium.launch({
  executablePath: EXECUTABLE,
  args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking'],
})
try {
  const address = await serveFiles()
  await measureLog(address)
  await measureLive()
} finally {
  await browser.close()
  rmSync(folder, { recursive: true, force: true })
}
for (const { what, value, unit, most, holds } of results) {
  console.log(`${holds ? 'holds' : 'FAILS'} ${value.toFixed(1).padStart(10)} ${unit}  ${what} (at most ${most})`)
}
process.exit(results.every(({ holds }) => holds) ? 0 : 1)

/** The built viewer on a plain static server. */
async function serveFiles() {
  const server = createServer((request, response) => {
    const path = new URL(request.url ?? '/', 'http://localhost').pathname
    try {
      const body = readFileSync(join(DIST, path === '/' ? 'index.html' : path))
      response.writeHead(200, { 'content-type': TYPES[extname(path) || '.html'] ?? 'application/octet-stream' })
      response.end(body)
    } catch {
      response.writeHead(404).end()
    }
  })
  await new Promise((resolve) => server.listen(0, '127.0.0.1', resolve))
  server.unref()
  return `http://127.0.0.1:${server.address().port}/`
}

/** Opens the log, then moves and zooms eight plots of it. */
async function measureLog(address) {
  const log = join(folder, 'large.log')
  console.log(`writing a log of ${LINES.toLocaleString('en')} lines`)
  await writeDrives(log, LINES)
  const page = await browser.newPage({ viewport: LAPTOP })
  const scripts = []
  page.on('response', (response) => {
    if (response.request().resourceType() === 'script') scripts.push(response.body())
  })
  await page.goto(address, { waitUntil: 'networkidle' })
  const bytes = (await Promise.all(scripts)).reduce((sum, body) => sum + gzipSync(body).length, 0)
  judge('script of the first load, gzipped', bytes / 1_000, 'kB', 150)

  // What is asked of is the time from the file's arrival in the page, not that of handing it to the browser.
  await page.evaluate(() => {
    const times = {}
    Object.assign(globalThis, { times })
    addEventListener('change', () => (times.begun = performance.now()), { capture: true, once: true })
    const look = () => {
      if (times.begun !== undefined) {
        if (times.plot === undefined && hasDrawn()) times.plot = performance.now()
        const reading = document.querySelector('.reading')
        if (times.read === undefined && reading?.textContent?.includes('Judging')) times.read = performance.now()
        if (reading !== null && reading.textContent === '') times.ready = performance.now()
      }
      if (times.ready === undefined) requestAnimationFrame(look)
    }
    function hasDrawn() {
      const canvas = document.querySelector('.plot canvas')
      if (canvas === null || canvas.width === 0) return false
      const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height)
      // The line's colour, which neither grid nor words have.
      for (let i = 0; i < data.length; i += 4) if (data[i + 3] > 200 && data[i + 2] > data[i] + 60) return true
      return false
    }
    look()
  })
  await page.setInputFiles('input[type=file]', log)
  await page.waitForFunction(() => globalThis.times.ready !== undefined, undefined, { timeout: 120_000 })
  const times = await page.evaluate(() => globalThis.times)
  judge('first plot of the large log', times.plot - times.begun, 'ms', 1_500)
  if (times.read !== undefined) console.log(`read whole after ${((times.read - times.begun) / 1_000).toFixed(2)} s`)
  judge('the large log complete, with its verdict', times.ready - times.begun, 'ms', 6_000)

  await showEightPlots(page)
  judge('between pictures while eight plots are moved, the median', await intervals(page, moveAndZoom), 'ms', 17.5)
  await page.close()
}

/** The busiest signals in eight plots, three in each. */
async function showEightPlots(page) {
  const chosen = [
    ['0.0.61444.190', '0.0.61444.513', '0.0.61444.512'],
    ['0.0.61444.899', '0.0.61444.2432', '0.0.61444.4154'],
    ['0.0.61443.91', '0.0.61443.92', '0.0.61443.974'],
    ['0.3.61442.191', '0.3.61442.161', '0.3.61442.522'],
    ['0.3.0.898', '0.3.0.518', '0.3.0.695'],
    ['0.11.65215.904', '0.11.65215.905', '0.11.65215.906'],
    ['0.0.61450.2659', '0.0.61450.132', '0.0.61444.190'],
    ['0.3.61442.573', '0.3.61442.560', '0.0.61443.558'],
  ]
  await page.evaluate((plots) => {
    const [path] = location.hash.split('?')
    location.hash = `${path}?plots=${plots.map((keys) => keys.join('+')).join(',')}`
  }, chosen)
  await page.waitForTimeout(1_500)
  const plots = await page.locator('.plot canvas').count()
  if (plots !== chosen.length) throw new Error(`${plots} plots are there, not ${chosen.length}: the log lacks signals`)
}

/** Milliseconds between pictures, the median, while something is done; the longer ones are printed. */
async function intervals(page, act) {
  await page.evaluate(() => {
    const stamps = []
    Object.assign(globalThis, { stamps, measuring: true })
    const tick = (now) => {
      stamps.push(now)
      if (globalThis.measuring) requestAnimationFrame(tick)
    }
    requestAnimationFrame(tick)
  })
  await act(page)
  const stamps = await page.evaluate(() => {
    globalThis.measuring = false
    return globalThis.stamps
  })
  const gaps = stamps.slice(1).map((stamp, i) => stamp - stamps[i])
  gaps.sort((a, b) => a - b)
  const at = (share) => gaps[Math.floor(gaps.length * share)] ?? Number.NaN
  console.log(
    `${gaps.length} pictures; between them ${at(0.5).toFixed(1)} ms (median), ${at(0.95).toFixed(1)}, ${at(0.99).toFixed(1)}, ${gaps.at(-1)?.toFixed(1)} ms at most`,
  )
  return at(0.5)
}

async function moveAndZoom(page) {
  const box = await page.locator('.stack').boundingBox()
  const [x, y] = [box.x + box.width * 0.6, box.y + Math.min(300, box.height / 2)]
  await page.mouse.move(x, y)
  await page.keyboard.down('Control')
  for (let i = 0; i < 40; i++) {
    await page.mouse.wheel(0, i < 25 ? -60 : 60)
    await page.waitForTimeout(16)
  }
  await page.keyboard.up('Control')
  await page.keyboard.down('Shift')
  await page.mouse.down()
  for (let i = 0; i < 120; i++) {
    await page.mouse.move(x - 200 * Math.sin(i / 12), y)
    await page.waitForTimeout(16)
  }
  await page.mouse.up()
  await page.keyboard.up('Shift')
}

/** Twenty signals, each sent 50 times a second, on the live page. */
async function measureLive() {
  const { writeLive, SIGNALS } = await import('./live-corpus.js')
  const log = join(folder, 'live.log')
  await writeLive(log, 120)
  const server = await startServer({ library: join(folder, 'library'), outside: [log], port: 0, viewer: DIST })
  try {
    await server.scan()
    const page = await browser.newPage({ viewport: { width: 1280, height: 2_400 } })
    await page.goto(`${server.url}/#/runs`)
    await page.locator('.run-table a').first().click()
    await page.getByRole('button', { name: 'Replay as live' }).click()
    await page.getByText('More figures').click()
    await page.waitForFunction((count) => document.querySelectorAll('.trend').length >= count, SIGNALS, {
      timeout: 20_000,
    })
    await page.waitForTimeout(3_000)
    const session = await page.context().newCDPSession(page)
    await session.send('Performance.enable')
    const busy = async () => {
      const { metrics } = await session.send('Performance.getMetrics')
      const of = (name) => metrics.find((metric) => metric.name === name).value
      return { task: of('TaskDuration'), at: of('Timestamp') }
    }
    const before = await busy()
    await page.waitForTimeout(15_000)
    const after = await busy()
    judge(
      `of one core for ${SIGNALS} live signals at 50 Hz`,
      ((after.task - before.task) / (after.at - before.at)) * 100,
      '% ',
      30,
    )
    await page.close()
  } finally {
    await server.stop()
  }
}
