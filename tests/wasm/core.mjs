// The core as a page calls it: texts in, JSON out.
import { createRequire } from 'module';
import { resolve } from 'path';

export async function loadedCore(file) {
    const Module = await createRequire(import.meta.url)(resolve(file))();
    const call = (name, object) => callText(name, JSON.stringify(object ?? null));
    const callText = (name, text) => {
        const bytes = Module.lengthBytesUTF8(text) + 1;
        const room = Module._lr_room(bytes);
        Module.stringToUTF8(text, room, bytes);
        return JSON.parse(Module.UTF8ToString(Module['_lr_' + name](room)));
    };
    const setPicture = (slot, width, height, rgba) => {
        const room = Module._lr_room(rgba.length);  // may grow the memory: HEAPU8 is looked up after it
        Module.HEAPU8.set(rgba, room);
        return JSON.parse(Module.UTF8ToString(Module._lr_set_picture(slot, width, height)));
    };
    const pixels = (width, height) => {
        const from = Module._lr_pixels();
        return Module.HEAPU8.slice(from, from + 4 * width * height);
    };
    return { Module, call, callText, setPicture, pixels };
}
