// A picture larger than its frame opens where the thing asked about is. Without script the links to it
// end in #this, which brings the thing to the edge of the frame.
const frame = document.querySelector(".tree-frame");
const asked = document.getElementById("this");

if (frame && asked) {
  const inside = frame.getBoundingClientRect();
  const box = asked.getBoundingClientRect();
  frame.scrollLeft += box.left + box.width / 2 - (inside.left + inside.width / 2);
  frame.scrollTop += box.top + box.height / 2 - (inside.top + inside.height / 2);
}
