-- wrk: POST the file named after "--" as JSON.
function init(arguments)
    local file = assert(io.open(arguments[1], "rb"))
    wrk.method = "POST"
    wrk.body = file:read("*a")
    wrk.headers["Content-Type"] = "application/json"
    file:close()
end
