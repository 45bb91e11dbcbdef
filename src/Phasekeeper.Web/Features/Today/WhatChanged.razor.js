// What this browser has seen of the news. Where storage is switched off, every visit is the first.
const key = 'pk-seen';
export function read() { try { return window.localStorage.getItem(key); } catch { return null; } }
export function write(value) { try { window.localStorage.setItem(key, value); } catch { /* not remembered in this browser */ } }
