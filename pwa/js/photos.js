// photos.js - a picture made small: at most 200 KB, and without what a camera writes beside it (place, device, time),
// since the picture is painted anew from its dots alone.

export const MOST_BYTES = 200 * 1024;
const SIDES = [1600, 1200, 900, 640, 400]; // of the longer side [px]
const QUALITIES = [0.8, 0.6, 0.45];

/**
 * @param {Blob} file a picture that the browser can read @returns {Promise<Blob>} JPEG of at most MOST_BYTES
 * @throws {Error} when it is no picture
 */
export async function small(file) {
  const picture = await createImageBitmap(file);
  try {
    for (const side of SIDES) {
      const scale = Math.min(1, side / Math.max(picture.width, picture.height));
      const canvas = document.createElement('canvas');
      canvas.width = Math.max(1, Math.round(picture.width * scale));
      canvas.height = Math.max(1, Math.round(picture.height * scale));
      canvas.getContext('2d').drawImage(picture, 0, 0, canvas.width, canvas.height);
      for (const quality of QUALITIES) {
        const blob = await new Promise((resolve) => { canvas.toBlob(resolve, 'image/jpeg', quality); });
        if (blob && blob.size <= MOST_BYTES) return blob;
      }
    }
  } finally {
    picture.close();
  }
  throw new Error('size');
}

/** Puts a kept picture onto a canvas: no address that the page's policy would have to allow. */
export async function paint(canvas, blob) {
  const picture = await createImageBitmap(blob);
  canvas.width = picture.width;
  canvas.height = picture.height;
  canvas.getContext('2d').drawImage(picture, 0, 0);
  picture.close();
}

/** @returns {Promise<string>} SHA-256 in hex: the name of what it holds */
export async function nameOf(blob) {
  const digest = await crypto.subtle.digest('SHA-256', await blob.arrayBuffer());
  return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, '0')).join('');
}
