-- Tables whose columns have no widths of their own get them by what stands in them,
-- each at least its longest word's; what has no side stands left.

-- Letters beside each other on a page in large print, where they are fewest.
local ACROSS = 62

local function letters(text)
  return utf8.len(text) or #text
end

local function longest(tab, count)
  local most, word = {}, {}
  for k = 1, count do most[k], word[k] = 6, 0 end
  local function look(rows)
    for _, row in ipairs(rows) do
      for k, cell in ipairs(row.cells) do
        local text = pandoc.utils.stringify(cell.contents)
        if most[k] then
          most[k] = math.max(most[k], letters(text))
          for each in text:gmatch('[^%s-]+') do
            word[k] = math.max(word[k], letters(each) + 2)
          end
        end
      end
    end
  end
  look(tab.head.rows)
  for _, body in ipairs(tab.bodies) do look(body.body) end
  return most, word
end

-- Shares of the page, none of them less than its word asks for, if all words fit.
local function shares(weights, word)
  local fixed, held, free = {}, 0, 0
  for k, weight in ipairs(weights) do free = free + weight end
  local again = true
  while again do
    again = false
    for k, weight in ipairs(weights) do
      local least = word[k] / ACROSS
      if not fixed[k] and (1 - held) * weight / free < least and held + least < 1 then
        fixed[k], held, free, again = least, held + least, free - weight, true
        if free <= 0 then return fixed end
      end
    end
  end
  local made = {}
  for k, weight in ipairs(weights) do
    made[k] = fixed[k] or (1 - held) * weight / free
  end
  return made
end

function Table(tab)
  local alike, first = true, nil
  for _, spec in ipairs(tab.colspecs) do
    first = first or spec[2]
    if spec[2] ~= first then alike = false end
  end
  local count = #tab.colspecs
  local weights, word = longest(tab, count)
  for k = 1, count do weights[k] = math.min(weights[k], 60) ^ 0.75 end
  local part = shares(weights, word)
  tab.colspecs = tab.colspecs:map(function(spec) return spec end)
  for k, spec in ipairs(tab.colspecs) do
    local side = spec[1] == 'AlignDefault' and 'AlignLeft' or spec[1]
    local width = spec[2]
    if first and alike then width = part[k] end
    tab.colspecs[k] = {side, width}
  end
  return tab
end
