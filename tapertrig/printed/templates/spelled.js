// Whole numbers as one line of digits with check digits, as tapertrig/spelled.py writes it.
function spelled(numbers) {
  const digits = numbers.map((one) => (one ? `${String(one).length}${one}` : "0")).join("");
  let rest = 0;
  for (const digit of `${digits}00`) rest = (rest * 10 + Number(digit)) % 97;
  return (digits + String(98 - rest).padStart(2, "0")).replace(/.{4}(?=.)/g, "$& ");
}
