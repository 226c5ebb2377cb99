// parts/save-file.js - hands a text over to the person as a file of their own.

/** @param {string} name @param {string} text @param {string} type such as application/json */
export function saveFile(name, text, type) {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(new Blob([text], { type }));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}
