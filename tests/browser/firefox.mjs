// Firefox driven over WebDriver BiDi: one order a line on standard input, one answer a line back.
import { createInterface } from "node:readline";
import puppeteer from "puppeteer-core";

const [executablePath, width, height] = process.argv.slice(2);
const browser = await puppeteer.launch({ browser: "firefox", executablePath, headless: true });
const page = await browser.newPage();
await page.setViewport({ width: Number(width), height: Number(height) });
const errors = [];
page.on("console", (message) => message.type() === "error" && errors.push(message.text()));
page.on("dialog", (asked) => asked.accept()); // leaving a lesson that has changed
page.on("pageerror", (error) => errors.push(String(error)));
const orders = {
  go: (address) => page.goto(address).then(() => null),
  run: (script) => page.evaluate(script),
  press: (key) => page.keyboard.press(key),
  errors: () => errors,
};
for await (const line of createInterface({ input: process.stdin })) {
  const [order, given] = JSON.parse(line);
  const answer = await orders[order](given).then?.((value) => ({ value }), (error) => ({ error: String(error) }));
  console.log(JSON.stringify(answer ?? { value: errors }));
}
await browser.close();
