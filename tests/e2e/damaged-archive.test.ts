/** A compressed log that was cut: the viewer in a browser has of it what the library has. */
import { gzipSync } from 'node:zlib'
import { openRecording } from '@firstcrank/decoder'
import { simulateSample } from '@firstcrank/simulator'
import { expect, it } from 'vitest'
import { CHROMIUM, launchBrowser, serveFolder, VIEWER_DIST } from '../support/browser.js'

const packed = gzipSync(Buffer.from([...simulateSample('five-volt-short.log.gz').chunks].join('')))
const cut = packed.subarray(0, Math.floor(packed.length * 0.7))

it.runIf(CHROMIUM !== undefined)(
  'an archive cut short loses no more in the browser than elsewhere, and says so',
  async () => {
    const expected = await openRecording(cut)
    const site = await serveFolder(VIEWER_DIST)
    const browser = await launchBrowser()
    try {
      const page = await browser.newPage()
      page.setDefaultTimeout(8_000)
      await page.goto(site.address)
      await page.setInputFiles('input[type=file]', {
        name: 'cut.log.gz',
        mimeType: 'application/gzip',
        buffer: Buffer.from(cut),
      })
      await page.locator('.reading:empty').waitFor({ state: 'attached' })
      await page.evaluate(() => {
        location.hash = `${location.hash.replace('/sheet', '/bus')}?part=problems`
      })
      await page.getByText('the compressed log is damaged').first().waitFor()
      const words = (await page.locator('main').textContent()) ?? ''
      expect(expected.counts.extended).toBeGreaterThan(10_000)
      expect(words).toContain(expected.counts.extended.toLocaleString('en'))
    } finally {
      await browser.close()
      site.server.close()
    }
  },
  30_000,
)
